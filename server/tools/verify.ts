/**
 * npm run -s verify [-- FILE]
 * Checks the data folder, also while the server runs, or a backup: integrity, references, photographs by their hashes,
 * counts. Exit status 0 where all is well, 1 with each fault named, 2 where there was nothing that can be checked.
 */
import { verifyData, verifyFile } from "../io/verify.ts";
import { FAULTS, runCommand, WELL } from "./longCommand.ts";

await runCommand({ usage: "npm run -s verify [-- FILE]", needsFile: false }, async ({ file, data, signal, tell }) => {
  const { holds, faults } = await (file === null
    ? verifyData(data, { signal, tell })
    : verifyFile(file, { signal, tell }));
  if (faults.length === 0) {
    console.log(`OK: ${file ?? data}: ${holds}.`);
    return WELL;
  }
  for (const fault of faults) console.log(fault);
  console.log(`${faults.length} ${faults.length === 1 ? "fault" : "faults"} in ${file ?? data}: ${holds}.`);
  return FAULTS;
});
