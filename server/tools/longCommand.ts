/** What the commands on backups share: what they are asked, how far they are, how they are stopped and how they end. */
import path from "node:path";
import { fileURLToPath } from "node:url";
import { parseArgs } from "node:util";
import { BackupFault } from "../io/backupFault.ts";
import type { Following } from "../io/backupFile.ts";
import { DataInUse } from "../store/lock.ts";
import { misused } from "./misused.ts";

/** Exit statuses: done and well; done, with faults named; not done. */
export const WELL = 0;
export const FAULTS = 1;
export const NOT_DONE = 2;

export interface Asked<Flag extends string> extends Following {
  /** The file that is named, from the folder in which the command was given. */
  file: string | null;
  /** The data folder. */
  data: string;
  flags: ReadonlySet<Flag>;
}

interface Command<Flag extends string> {
  usage: string;
  flags?: readonly Flag[];
  needsFile: boolean;
}

const named = (file: string): string => path.resolve(process.env["INIT_CWD"] ?? "", file);

const ownData = (): string =>
  path.resolve(process.env["LASTBOLT_DATA"] || fileURLToPath(new URL("../../data/", import.meta.url)));

class Misused extends Error {}

function asked<Flag extends string>({
  usage,
  flags = [],
  needsFile,
}: Command<Flag>): Omit<Asked<Flag>, keyof Following> {
  const use = (why: string): never => {
    throw new Misused(`${why.replace(/\.?$/, ".")} Use: ${usage}`);
  };
  try {
    const { values, positionals } = parseArgs({
      allowPositionals: true,
      options: Object.fromEntries(flags.map((flag) => [flag, { type: "boolean" as const }])),
    });
    const [file] = positionals;
    if (positionals.length > 1 || (needsFile && file === undefined)) return use("Name one file");
    return {
      file: file === undefined ? null : named(file),
      data: ownData(),
      flags: new Set(flags.filter((flag) => values[flag] === true)),
    };
  } catch (error) {
    return error instanceof Misused ? use(error.message.split(" Use:")[0]!) : use(misused(error));
  }
}

/** One line that tells how far it is, written over itself; only to a terminal. */
function progress(): { tell: NonNullable<Following["tell"]>; end(): void } {
  const { stderr } = process;
  if (!stderr.isTTY) return { tell: () => {}, end: () => {} };
  let shown = 0;
  let last = "";
  const end = () => {
    if (last !== "") stderr.write("\r\x1b[K");
    last = "";
  };
  return {
    tell: (what, done, total) => {
      const now = Date.now();
      if (what === last && now - shown < 100 && done < total) return;
      last = what;
      shown = now;
      stderr.write(`\r\x1b[K${what}${total > 1 ? ` ${done} of ${total}` : ""} … Ctrl-C stops it.`);
    },
    end,
  };
}

/** Runs a command to its end. Told to stop, it takes away what it began, and ends as the signal would have ended it. */
export async function runCommand<Flag extends string>(
  command: Command<Flag>,
  work: (asked: Asked<Flag>) => Promise<number>,
): Promise<void> {
  const stop = new AbortController();
  let stoppedBy: NodeJS.Signals | null = null;
  const signals: readonly NodeJS.Signals[] = ["SIGINT", "SIGTERM", "SIGHUP"];
  const heard = (signal: NodeJS.Signals): void => {
    stoppedBy = signal;
    stop.abort();
  };
  for (const signal of signals) process.on(signal, heard);
  const { tell, end } = progress();
  try {
    process.exitCode = await work({ ...asked(command), signal: stop.signal, tell });
    end();
  } catch (error) {
    end();
    if (!(error instanceof BackupFault || error instanceof DataInUse || error instanceof Misused)) throw error;
    const faults = error instanceof BackupFault ? error.faults : [];
    process.stderr.write([error.message, ...faults].map((line) => `${line}\n`).join(""));
    process.exitCode = NOT_DONE;
    // A thread may still be at its last statement; the signal's own way does not wait for it.
    if (stoppedBy !== null) {
      process.removeAllListeners(stoppedBy);
      process.kill(process.pid, stoppedBy);
    }
  }
}
