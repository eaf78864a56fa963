/**
 * Begins to back up or restore, and kills itself at the nth moment at which it tells how far it is:
 * `killed.ts backup|restore FILE DATA N`. Ends with status 0 where there was no such moment.
 */

import { writeBackup } from "../../server/io/backupWrite.ts";
import { restoreBackup } from "../../server/io/restore.ts";

const [what, file = "", data = "", at = ""] = process.argv.slice(2);
let told = 0;
const tell = (): void => {
  if (++told >= Number(at)) process.kill(process.pid, "SIGKILL");
};
await (what === "backup" ? writeBackup(data, file, { tell }) : restoreBackup(file, data, { tell }));
