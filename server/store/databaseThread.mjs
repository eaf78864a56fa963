/** Where the thread of a database file begins: it runs one statement after another and answers with the rows. */
import { parentPort, workerData } from "node:worker_threads";
import { createClient } from "@libsql/client";

const { url, snapshot } = workerData;
const client = createClient({ url, timeout: 5_000 });
/** @type {import("@libsql/client").Client | import("@libsql/client").Transaction | undefined} */
let at = snapshot ? undefined : client;

parentPort?.on("message", async ({ sql, args }) => {
  try {
    at ??= await client.transaction("read");
    const { rows } = await at.execute({ sql, args });
    parentPort?.postMessage({ rows: rows.map((row) => ({ ...row })) });
  } catch (error) {
    const { message, code } = /** @type {Error & { code?: string }} */ (error);
    parentPort?.postMessage({ problem: { message, code } });
  }
});
