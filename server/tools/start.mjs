/** `npm start`: makes the clone ready and runs the server until it is told to stop. `npm start -- demo`: on the demo, in a folder of its own. */
import { cannotListen } from "./port.mjs";
import { foreground, prepare } from "./prepare.mjs";

if (process.argv[2] === "demo") {
  process.env["LASTBOLT_DATA"] = "demo";
  delete process.env["LASTBOLT_SEED"];
}

for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"]) process.once(signal, stopPreparing);

function stopPreparing() {
  process.exit(130);
}

try {
  // Told before minutes of building, and not after.
  const why = await cannotListen();
  if (why !== null) throw new Error(why);
  await prepare();
  for (const signal of ["SIGINT", "SIGTERM", "SIGHUP"]) process.off(signal, stopPreparing);
  process.exit(await foreground(["--import", "tsx", "server/main.ts"]));
} catch (error) {
  console.error(error instanceof Error ? error.message : error);
  process.exit(1);
}
