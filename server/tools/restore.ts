/**
 * npm run -s restore -- FILE
 * Puts a backup back, or a database of data/backups, once it is proved whole. What was there is moved aside, and named.
 * Exit status 0; 1 where photographs that it names were nowhere to be had; 2 where nothing was changed.
 */
import { restoreBackup } from "../io/restore.ts";
import { FAULTS, runCommand, WELL } from "./longCommand.ts";

await runCommand({ usage: "npm run -s restore -- FILE", needsFile: true }, async ({ file, data, signal, tell }) => {
  const { holds, aside, notes } = await restoreBackup(file!, data, { signal, tell });
  console.log(`${data} holds what was backed up: ${holds}.`);
  if (aside !== null)
    console.log(
      `What was there before is in ${aside}. Remove it when you are sure; npm run -s restore -- ${aside}/lastbolt.db brings it back.`,
    );
  for (const note of notes) console.error(note);
  return notes.length > 0 ? FAULTS : WELL;
});
