/** Wires the parts together and listens. */
import { createServer } from "node:http";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { seedClub } from "../seed/club.ts";
import { seedDemo } from "../seed/load.ts";
import { firstLink, LINK_DAYS } from "./access/invitation.ts";
import { linkOf } from "./api/accountResult.ts";
import { furtherFigures } from "./api/oddsWork.ts";
import { createApp } from "./api/server.ts";
import { BackupFault } from "./io/backupFault.ts";
import { NightlyBackups } from "./io/nightlyBackups.ts";
import { tidyPhotographs } from "./io/photographBin.ts";
import { readyData } from "./io/readyData.ts";
import { keepSending } from "./mail/dailySummaries.ts";
import { keepWriting } from "./mail/matchLetters.ts";
import { readClubIndexes } from "./plan/clubIndex.ts";
import { keepDays } from "./plan/dayFigures.ts";
import { openStore, type Store } from "./store/client.ts";
import { DataInUse, lockData } from "./store/lock.ts";
import { MigrationFailed, migrate } from "./store/migrate.ts";

const host = process.env["HOST"] || "127.0.0.1";
const port = Number(process.env["PORT"] || 4173);
const data = path.resolve(process.env["LASTBOLT_DATA"] || fileURLToPath(new URL("../data/", import.meta.url)));
const dist = fileURLToPath(new URL("../dist/", import.meta.url));

/** Milliseconds in which requests under way may finish once the server is told to stop. */
const DRAIN_MS = 5_000;

function giveUp(message: string): never {
  console.error(message);
  process.exit(1);
}

/** An empty database gets the demo and its club; with LASTBOLT_SEED=none, a workshop whose admin has yet to come. */
async function fillIfEmpty(store: Store): Promise<void> {
  if (process.env["LASTBOLT_SEED"] === "none") return;
  await seedDemo(store);
  await seedClub(store);
}

if (!Number.isInteger(port) || port < 0 || port > 65_535)
  giveUp(`PORT must be a whole number from 0 to 65535; it is ${process.env["PORT"]}.`);

const lock = await lockData(data).catch((error: unknown) => {
  if (error instanceof DataInUse)
    giveUp(`${error.message}\nTo run another beside it, give that a folder of its own: LASTBOLT_DATA=FOLDER npm start`);
  throw error;
});
const file = path.join(data, "lastbolt.db");
await readyData(data, console.log).catch((error: unknown) => {
  if (error instanceof BackupFault) giveUp(error.message);
  throw error;
});
await migrate(file, { log: console.log }).catch((error: unknown) => {
  if (error instanceof MigrationFailed) giveUp(error.message);
  throw error;
});
const store = await openStore(file);
await fillIfEmpty(store);
const first = await firstLink(store);
const photographs = path.join(data, "photographs");
await tidyPhotographs(store, photographs);
const backups = new NightlyBackups(store, data);
const { app, stop } = await createApp(store, {
  introspection: process.env["LASTBOLT_INTROSPECTION"] !== "off",
  dist,
  photographs,
  backups,
});
const server = createServer(app);
const address = process.env["LASTBOLT_ADDRESS"]?.replace(/\/+$/, "");
const mail = keepSending(store, address);
const letters = keepWriting(store, { address });
const days = keepDays(store, { further: furtherFigures(store) });

server.on("error", async (error: NodeJS.ErrnoException) => {
  await store.$disconnect();
  await lock.release();
  if (error.code === "EADDRINUSE")
    giveUp(`Port ${port} of ${host} is in use. Stop what uses it, or choose another: PORT=4174 npm start`);
  if (error.code === "EACCES")
    giveUp(`Port ${port} of ${host} may not be used by this account. Choose one above 1023.`);
  giveUp(`The server cannot listen on ${host}, port ${port}: ${error.message}`);
});
server.listen(port, host, () => {
  const address = server.address();
  const name = host.includes(":") ? `[${host}]` : host;
  const reached = `http://${name}:${typeof address === "object" ? address?.port : port}`;
  void lock.reachedAt(`${reached}/`);
  console.log(`Lastbolt is ready at ${reached}/`);
  backups.begin();
  readClubIndexes(store).catch((error: unknown) => console.error("The club's sources were not read in yet:", error));
  if (first !== null)
    console.log(
      `Nobody can sign in yet. Open this link to set your name, e-mail and password; it is good once, for ${LINK_DAYS.JOIN} days:\n${reached}${linkOf(first)}`,
    );
});

let stopping = false;
async function shutDown(): Promise<void> {
  if (stopping) return;
  stopping = true;
  const closed = new Promise((resolve) => server.close(resolve));
  server.closeIdleConnections();
  const late = setTimeout(() => server.closeAllConnections(), DRAIN_MS);
  await stop();
  await closed;
  clearTimeout(late);
  await backups.stop();
  await days.stop();
  await mail.stop();
  await letters.stop();
  await store.$disconnect();
  await lock.release();
  process.exit(0);
}
for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"] as const) process.on(signal, () => void shutDown());
// The tool that started this process is gone, whatever became of it.
process.on("disconnect", () => void shutDown());
