/**
 * npm run -s backup -- FILE [--overwrite]
 * Backs up the data folder into one file, also while the server runs: the database, all photographs that it names, and a
 * manifest with checksums. Exit status 0; 1 where photographs were missing or altered already; 2 where nothing was written.
 */
import { manifestHolds, wrongBefore } from "../io/backupWords.ts";
import { writeBackup } from "../io/backupWrite.ts";
import { FAULTS, runCommand, WELL } from "./longCommand.ts";

await runCommand(
  { usage: "npm run -s backup -- FILE [--overwrite]", flags: ["overwrite"], needsFile: true },
  async ({ file, data, flags, signal, tell }) => {
    const manifest = await writeBackup(data, file!, { overwrite: flags.has("overwrite"), signal, tell });
    console.log(`${file}: ${manifestHolds(manifest)}. Written and read back.`);
    const wrong = wrongBefore(manifest);
    for (const line of wrong) console.error(line);
    return wrong.length > 0 ? FAULTS : WELL;
  },
);
