/** Wires the parts together and listens. */
import { createServer } from "node:http";
import path from "node:path";
import { fileURLToPath } from "node:url";
import { fillDemo } from "../seed/load.ts";
import { firstLink, LINK_DAYS } from "./access/invitation.ts";
import { reachedAt } from "./api/http/ownHosts.ts";
import { createApp, refuseUnreadable } from "./api/http/server.ts";
import { furtherFigures } from "./api/odds/oddsWork.ts";
import { linkOf } from "./api/people/accountResult.ts";
import { BackupFault } from "./io/backupFault.ts";
import { NightlyBackups } from "./io/nightlyBackups.ts";
import { tidyPhotographs } from "./io/photographBin.ts";
import { readyData } from "./io/readyData.ts";
import { keepSending } from "./mail/dailySummaries.ts";
import { keepWriting } from "./mail/matchLetters.ts";
import { readClubIndexes } from "./plan/club/index.ts";
import { keepDays } from "./plan/days/dayFigures.ts";
import { readFindIndexes } from "./plan/find/findIndex.ts";
import { openStore, type Store } from "./store/client.ts";
import { cannotWriteOf, type DiskCode } from "./store/fault.ts";
import { DataInUse, lockData } from "./store/lock.ts";
import { MigrationFailed, migrate } from "./store/migrate.ts";
import { host, port, portFault, whyNot } from "./tools/port.mjs";

// A failure that nothing waits for is a mistake in the program: it is written down, and ends nobody's request.
process.on("unhandledRejection", (reason) => console.error("Something failed in the background:", reason));

const data = path.resolve(process.env["LASTBOLT_DATA"] || fileURLToPath(new URL("../data/", import.meta.url)));
const address = process.env["LASTBOLT_ADDRESS"]?.replace(/\/+$/, "") || undefined;
const dist = fileURLToPath(new URL("../dist/", import.meta.url));

/** Milliseconds in which requests under way may finish once the server is told to stop. */
const DRAIN_MS = 5_000;

function giveUp(message: string): never {
  console.error(message);
  process.exit(1);
}

const AT_START: Record<DiskCode, string> = {
  DISK_FULL: "its disk is full. Make room there",
  READ_ONLY: "this account may not write there. Let it",
  DISK_FAILED: "the disk does not answer as it should. See to it",
};

/** What can be expected to stand in the way of a start is told in words; nothing was changed. */
function refuseToStart(error: unknown): never {
  if (error instanceof DataInUse)
    giveUp(`${error.message}\nTo run another beside it, give that a folder of its own: LASTBOLT_DATA=FOLDER npm start`);
  const disk = cannotWriteOf(error);
  if (disk !== null)
    giveUp(
      `Lastbolt cannot write to its data folder ${data}: ${AT_START[disk.code]}, or choose another folder: LASTBOLT_DATA=FOLDER npm start`,
    );
  if (error instanceof MigrationFailed || error instanceof BackupFault) giveUp(error.message);
  if (error instanceof Error && "syscall" in error) giveUp(`${data} cannot be the data folder: ${error.message}`);
  throw error;
}

if (address !== undefined && !(URL.canParse(address) && /^https?:/.test(address)))
  giveUp(`LASTBOLT_ADDRESS must be an address such as https://bench.example.org; it is ${address}.`);
const badPort = portFault();
if (badPort !== null) giveUp(badPort);

const lock = await lockData(data).catch(refuseToStart);
const file = path.join(data, "lastbolt.db");
await readyData(data, console.log).catch(refuseToStart);
const photographs = path.join(data, "photographs");
// An empty database gets the demo and its club; with LASTBOLT_SEED=none, a workshop whose admin has yet to come.
const fill = process.env["LASTBOLT_SEED"] === "none" ? {} : { fill: (store: Store) => fillDemo(store, photographs) };
await migrate(file, { log: console.log, ...fill }).catch(refuseToStart);
const store = await openStore(file).catch(refuseToStart);
const first = await firstLink(store).catch(refuseToStart);
await tidyPhotographs(store, photographs);
const backups = new NightlyBackups(store, data);
const { app, stop } = await createApp(store, {
  introspection: process.env["LASTBOLT_INTROSPECTION"] !== "off",
  dist,
  photographs,
  host,
  address,
  backups,
});
const server = createServer(app);
refuseUnreadable(server);
const mail = keepSending(store, address);
const letters = keepWriting(store, { address });
const days = keepDays(store, { further: furtherFigures(store) });

server.on("error", async (error: NodeJS.ErrnoException) => {
  await store.$disconnect();
  await lock.release();
  giveUp(whyNot(error));
});
server.listen(port, host, () => {
  const listening = server.address();
  const { here, inTheShop } = reachedAt(host, typeof listening === "object" ? (listening?.port ?? port) : port);
  void lock.reachedAt(`${here}/`);
  console.log(`Lastbolt is ready at ${here}/`);
  for (const reached of inTheShop) console.log(`From a phone in the shop: ${reached}/`);
  backups.begin();
  readClubIndexes(store)
    .then(() => readFindIndexes(store))
    .catch((error: unknown) => console.error("What is searched was not read in yet:", error));
  if (first !== null)
    console.log(
      `Nobody can sign in yet. Open this link to set your name, e-mail and password; it works once, within ${LINK_DAYS.JOIN} days:\n${here}${linkOf(first)}`,
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
