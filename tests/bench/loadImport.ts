/** How long others wait for an answer while files come in: five thousand rows read and written, and files made to hang the server. */
import { Agent } from "node:http";
import { deflateRawSync } from "node:zlib";
import { type Files, zip } from "../io/fileSet.ts";
import { zipBy } from "../io/zipBy.ts";
import type { Ask, Kinds } from "./loadMix.ts";
import { answerTo } from "./loadRun.ts";
import { figure } from "./measure.ts";

/** Milliseconds between an answer and the next question of one who is waiting. */
const PAUSE = 20;

const CHEAP = JSON.stringify({ query: "{ restorations(first: 1) { edges { node { id machine } } } }" });

const lines = (n: number, line: (i: number) => string): string =>
  `${Array.from({ length: n }, (_, i) => line(i)).join("\n")}\n`;

/** A thousand each of operations, links, parts, needs and quotes that are chosen. */
const FIVE_THOUSAND: Files = {
  "operations.csv": `operation,hours_likely\n${lines(1_000, (i) => `W-${i},${1 + (i % 9)}`)}`,
  "links.csv": `before,after\n${lines(999, (i) => `W-${Math.max(0, i - (i % 7))},W-${i + 1}`)}`,
  "parts.csv": `part,name\n${lines(1_000, (i) => `P-${i},Part ${i}`)}`,
  "needs.csv": `operation,part\n${lines(1_000, (i) => `W-${i},P-${i}`)}`,
  "suppliers.csv": "supplier,name\nLOAD,Load foundry\n",
  "quotes.csv": `quote,part,supplier,provenance,unit_price,lead_days,chosen\n${lines(1_000, (i) => `Q-${i},P-${i},LOAD,remade,10,${30 + (i % 99)},yes`)}`,
};

const csv = (text: string | Uint8Array): Uint8Array => zip({ "operations.csv": text, "links.csv": "before,after\n" });

const HOSTILE: Record<string, () => Uint8Array> = {
  "80,000 columns": () => csv(lines(1, () => Array.from({ length: 80_000 }, (_, i) => `c${i}`).join(","))),
  "900,000 columns": () => csv(`${"c,".repeat(900_000)}\n`),
  "10 MB of commas": () => csv(",".repeat(10_000_000)),
  "1.5 million short rows": () => csv(`operation,hours_likely\n${"A,1\n".repeat(1_500_000)}`),
  "fifty thousand faulty rows": () => csv(`operation,hours_likely\n${"A,x\n".repeat(49_990)}`),
  "blank lines": () => csv(`operation,hours_likely\n${"\n".repeat(10_000_000)}`),
  "quotes written twice": () => csv(`operation,hours_likely\n"${'""'.repeat(5_000_000)}",1\n`),
  "lines that are not UTF-8": () => csv(new Uint8Array(10_000_000).fill(10).fill(0xff, 9_999_999)),
  "one circle of links": () =>
    zip({
      "operations.csv": `operation,hours_likely\n${lines(20_000, (i) => `W-${i},1`)}`,
      "links.csv": `before,after\n${lines(20_000, (i) => `W-${i},W-${(i + 1) % 20_000}`)}`,
    }),
  "lists without end": () => zip({ ...FIVE_THOUSAND, "restoration.json": `{"hands":[${"{},".repeat(300_000)}{}]}` }),
  "a deflate bomb": () =>
    zipBy([{ path: "operations.csv", packed: deflateRawSync(new Uint8Array(256 * 1024 * 1024)), size: 10_000_000 }]),
  "65,535 entries": () => zipBy([{ path: "operations.csv", text: "x" }], { count: 65_535 }),
};

/** Prints the longest wait for an answer, `load.import.wait.max`; each of them goes to standard error. @param next requests of the mix */
export async function loadImport(address: string, next: () => Ask): Promise<void> {
  const agent = new Agent({ keepAlive: true });
  const url = new URL("/graphql", address);
  const ask = async <T>(query: string, variables: object): Promise<T> => {
    const { body } = await answerTo(agent, url, JSON.stringify({ query, variables }));
    const { data, errors } = JSON.parse(body.toString()) as { data?: T; errors?: unknown };
    if (!data || errors !== undefined) throw new Error(JSON.stringify(errors));
    return data;
  };
  const pick = (kind: Kinds): Ask => {
    for (;;) {
      const one = next();
      if (one.kind === kind) return one;
      one.done?.(null);
    }
  };

  // Made beforehand, so that making them keeps none of the questions waiting.
  const rows = zip(FIVE_THOUSAND);
  const hostile = Object.entries(HOSTILE).map(([name, bytes]) => [name, bytes()] as const);

  let during = "";
  let over = false;
  const longest = new Map<string, Map<string, number>>();
  const poll = async (name: string, what: () => Pick<Ask, "body" | "done">): Promise<void> => {
    while (!over) {
      const { body, done } = what();
      const phase = during;
      const began = performance.now();
      const answer = await answerTo(agent, url, body);
      const took = performance.now() - began;
      const right = answer.status === 200 && !answer.body.includes('"errors":[') && (done?.(answer.body) ?? true);
      if (!right) throw new Error(`${name} during ${phase}: ${answer.status} ${answer.body.toString().slice(0, 300)}`);
      const waits = longest.get(phase) ?? new Map<string, number>();
      longest.set(phase, waits.set(name, Math.max(waits.get(name) ?? 0, took)));
      await new Promise((resolve) => setTimeout(resolve, PAUSE));
    }
  };

  const stateOf = async (job: string, not: readonly string[]): Promise<string> => {
    for (;;) {
      type Answer = { job: { state: string; problem: { message: string } | null } };
      const found = await ask<Answer>("query ($job: ID!) { job(id: $job) { state problem { message } } }", { job });
      if (!not.includes(found.job.state)) return found.job.state;
      await new Promise((resolve) => setTimeout(resolve, PAUSE));
    }
  };
  const send = async (bytes: Uint8Array): Promise<string | null> => {
    const headers = { "content-type": "application/zip" };
    const response = await fetch(`${address}/import`, { method: "POST", headers, body: Buffer.from(bytes) });
    const { job } = (await response.json()) as { job?: string };
    if (job === undefined && response.status < 400) throw new Error(`The import answered ${response.status}.`);
    return job ?? null;
  };

  const waiting = [
    poll("a list", () => ({ body: CHEAP })),
    poll("the hold-ups", () => pick("holdUps")),
    poll("a save", () => pick("save")),
  ];
  const work = async (): Promise<void> => {
    // What is asked for the first time takes its own time.
    during = "nothing else";
    await new Promise((resolve) => setTimeout(resolve, 5_000));
    for (let times = 1; times <= 3; times++) {
      during = "reading five thousand rows";
      const job = (await send(rows))!;
      const ready = await stateOf(job, ["READING", "CHECKING"]);
      if (ready !== "READY") throw new Error(`The five thousand rows are ${ready}.`);
      during = "writing five thousand rows";
      await ask("mutation ($job: ID!) { applyImport(job: $job) { state } }", { job });
      const written = await stateOf(job, ["READY", "WRITING"]);
      if (written !== "DONE") throw new Error(`The five thousand rows are ${written}.`);
    }
    for (const [name, bytes] of hostile) {
      during = name;
      const job = await send(bytes);
      if (job !== null) await stateOf(job, ["READING", "CHECKING"]);
    }
  };
  try {
    await Promise.race([work(), Promise.all(waiting)]);
  } finally {
    over = true;
    await Promise.allSettled(waiting);
    agent.destroy();
  }
  let most = 0;
  for (const [phase, waits] of longest)
    for (const [name, wait] of waits) {
      if (phase !== "nothing else") most = Math.max(most, wait);
      console.error(`${name} waited ${wait.toFixed(0)} ms at most during ${phase}`);
    }
  figure("load.import.wait.max", most, "ms");
}
