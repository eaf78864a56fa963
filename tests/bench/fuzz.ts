/**
 * `npm run bench -- fuzz`: queries, changes and files that nobody wrote, sent to a server of its own by everybody there is.
 * What is answered as a mistake of the program, what is not answered, and what reached another's rows is printed with
 * the request that did it. `--requests 500 --files 50 --seed 7` for a shorter one, or for the same again.
 */
import path from "node:path";
import { parseArgs } from "node:util";
import { startServer, type TestServer } from "../support/server.ts";
import { requestFor } from "./fuzzDocument.ts";
import { damaged, originals, type Sent } from "./fuzzFile.ts";
import { foreignAnswers, foreignChanges } from "./fuzzForeign.ts";
import { Dice, Ids } from "./fuzzValue.ts";
import { type Asker, fillWorld, type Snapshot, World } from "./fuzzWorld.ts";
import { figure } from "./measure.ts";

export interface Findings {
  /** Requests sent, and those of them that were answered with data and no refusal. */
  requests: number;
  done: number;
  files: number;
  internal: string[];
  hangs: string[];
  foreign: string[];
}

export interface FuzzOptions {
  requests: number;
  files: number;
  seed: number;
  /** Told of each finding at once. */
  tell?: (finding: string) => void;
}

/** Longest wait for an answer, in milliseconds. */
const PATIENCE_MS = 30_000;

/** Requests of one asker between two looks at the database. */
const BATCH = 20;

/** Changes by which somebody's sign-in may end. */
const ENDS =
  /: (actAs|signIn|signOut|signOutEverywhere|endSignIn|closeAccount|changeRole|changePassword|takeUpInvitation)\b/;

interface Answer {
  status: number;
  text: string;
  json: { data?: Record<string, unknown> | null; errors?: { message: string; extensions?: { code?: string } }[] };
}

export async function fuzzed({ requests, files, seed, tell = () => {} }: FuzzOptions): Promise<Findings> {
  const server = await startServer({ fill: fillWorld });
  const world = await World.open(server.store, path.join(path.dirname(server.photographs), "lastbolt.db"));
  const run = new Run(server, world, seed, tell);
  const stopListening = run.listen();
  try {
    await run.documents(requests);
    await run.sendFiles(files);
    return run.findings;
  } finally {
    stopListening();
    world.close();
    await server.close();
  }
}

class Run {
  readonly findings: Findings = { requests: 0, done: 0, files: 0, internal: [], hangs: [], foreign: [] };
  private readonly dice: Dice;
  private readonly jobs: string[] = [];
  private logged: string[] = [];

  constructor(
    private readonly server: TestServer,
    private readonly world: World,
    seed: number,
    private readonly tell: (finding: string) => void,
  ) {
    this.dice = new Dice(seed);
  }

  /** Keeps what the server logs, for the finding that it belongs to; a promise that nobody waits for is a finding by itself. */
  listen(): () => void {
    const log = console.error;
    console.error = (...words: unknown[]) => {
      this.logged.push(
        words.map((word) => (word instanceof Error ? (word.stack ?? word.message) : String(word))).join(" "),
      );
    };
    const rejected = (reason: unknown) => {
      this.logged.push(reason instanceof Error ? (reason.stack ?? reason.message) : String(reason));
      this.find("internal", "a rejection that nobody handled");
    };
    process.on("unhandledRejection", rejected);
    return () => {
      console.error = log;
      process.off("unhandledRejection", rejected);
    };
  }

  async documents(count: number): Promise<void> {
    const { dice, world } = this;
    let before = await world.snapshot();
    for (let sent = 0; sent < count; sent += BATCH) {
      // Restorers may do the most.
      const restorers = world.askers.filter(({ viewer }) => viewer.role === "RESTORER");
      const asker = dice.one(dice.chance(0.6) ? restorers : world.askers);
      const known = World.in(before, asker);
      const kind = dice.chance(0.5) ? "query" : "mutation";
      const ids = () => new Ids(dice, world, before, known, this.jobs);
      const wanted = Array.from({ length: Math.min(BATCH, count - sent) }, () => requestFor(dice, ids(), known, kind));
      const answers: { request: string; answer: Answer | null }[] = [];
      const ask = async ({ query, variables }: (typeof wanted)[number]) => {
        const text = this.spoilt(JSON.stringify({ query, variables }));
        answers.push({ request: text, answer: await this.ask(asker, text) });
        // Whose cookie has ended is somebody else: in the demo, its restorer.
        if (ENDS.test(query)) await world.mend();
      };
      // Some are sent all at once, as a page with several queries does.
      if (dice.chance(0.25) && !wanted.some(({ query }) => ENDS.test(query))) await Promise.all(wanted.map(ask));
      else for (const request of wanted) await ask(request);
      before = await this.look(asker, before, answers);
      if (kind === "query") continue;
      await world.mend();
      before = await world.snapshot();
    }
  }

  private spoilt(text: string): string {
    const { dice } = this;
    if (!dice.chance(0.01)) return text;
    const at = dice.below(text.length);
    return text.slice(0, at) + dice.one(["", "}", '"', "\0", "\ud800"]) + text.slice(at + dice.below(3));
  }

  private async ask(asker: Asker, body: string): Promise<Answer | null> {
    this.findings.requests++;
    const answer = await this.send(asker, "/graphql", "application/json", body, `${asker.name}: ${body}`);
    if (answer?.json.data != null && answer.json.errors === undefined) this.findings.done++;
    for (const job of Object.values(answer?.json.data ?? {}))
      if (typeof job === "object" && job !== null && (job as { __typename?: string }).__typename === "Job")
        this.jobs.push(String((job as { id?: unknown }).id));
    return answer;
  }

  /** Sends one body; null where no answer came. */
  private async send(
    asker: Asker,
    at: string,
    type: string,
    body: string | Uint8Array,
    words: string,
  ): Promise<Answer | null> {
    this.logged = [];
    try {
      const response = await fetch(this.server.address + at, {
        method: "POST",
        headers: { "content-type": type, ...(asker.cookie === undefined ? {} : { cookie: asker.cookie }) },
        body: body as BodyInit,
        signal: AbortSignal.timeout(PATIENCE_MS),
      });
      const text = await response.text();
      const json = readJson(text);
      const codes = [json?.code, ...(json?.errors ?? []).map(({ extensions }) => extensions?.code)];
      // A server that is busy, or has no room, says so with a code of its own.
      const said = codes.some((code) => code !== undefined && code !== "INTERNAL_SERVER_ERROR");
      if (codes.includes("INTERNAL_SERVER_ERROR") || (response.status >= 500 && !said)) this.find("internal", words);
      else if (json === undefined) this.find("internal", `an answer that is no JSON (${response.status}): ${words}`);
      return { status: response.status, text, json: json ?? {} };
    } catch (error) {
      const late = error instanceof DOMException && error.name === "TimeoutError";
      this.find(
        late ? "hangs" : "internal",
        `${late ? "" : `${String(error)} ${String((error as Error).cause)}: `}${words}`,
      );
      return null;
    }
  }

  /** Compares the database with what it was, and what was told with whose it is. */
  private async look(
    asker: Asker,
    before: Snapshot,
    answers: { request: string; answer: Answer | null }[],
  ): Promise<Snapshot> {
    const after = await this.world.snapshot();
    const [was, is] = [World.in(before, asker), World.in(after, asker)];
    const known = { ...was, memberId: is.memberId ?? was.memberId, clubSteward: was.clubSteward || is.clubSteward };
    for (const change of foreignChanges(known, before, after))
      this.find("foreign", `${change}\n  after ${asker.name}: ${answers.map(({ request }) => request).join("\n  ")}`);
    for (const { request, answer } of answers)
      for (const told of foreignAnswers(known, answer?.json ?? {}, [before, after]))
        this.find("foreign", `${told}\n  by ${asker.name}: ${request}\n  ${answer?.text.slice(0, 2_000)}`);
    return after;
  }

  async sendFiles(count: number): Promise<void> {
    const { dice, world } = this;
    const known = await originals();
    const askers = world.askers.filter(({ viewer, memberId }) => viewer.role === "RESTORER" || memberId !== null);
    let before = await world.snapshot();
    for (let sent = 0; sent < count; ) {
      const asker = dice.one(askers);
      const answers: { request: string; answer: Answer | null }[] = [];
      for (let i = 0; i < 5 && sent < count; i++, sent++) {
        const file = damaged(dice, known);
        const words = `file ${sent}, ${file.kind}, ${file.damage}`;
        answers.push({ request: words, answer: await this.sendFile(asker, before, file, words) });
      }
      before = await this.look(asker, before, answers);
    }
  }

  private async sendFile(
    asker: Asker,
    now: Snapshot,
    { kind, bytes, type }: Sent,
    words: string,
  ): Promise<Answer | null> {
    this.findings.files++;
    const ids = new Ids(this.dice, this.world, now, World.in(now, asker), []);
    const onto = this.dice.chance(0.5) ? `?restoration=${ids.of("restoration")}` : "";
    const at = { import: `/import${onto}`, club: "/club-import", photograph: `/photographs?part=${ids.of("part")}` }[
      kind
    ];
    const answer = await this.send(asker, at, type, bytes, `${asker.name}: ${at} ${words}`);
    const job = (answer?.json as { job?: string } | undefined)?.job;
    if (job === undefined) return answer;
    if ((await this.follow(asker, job, words)) === "READY" && this.dice.chance(0.5)) {
      await this.ask(asker, JSON.stringify({ query: `mutation { applyImport(job: "${job}") { __typename id } }` }));
      await this.follow(asker, job, words);
    }
    return answer;
  }

  /** The state in which an import comes to rest. */
  private async follow(asker: Asker, job: string, words: string): Promise<string | undefined> {
    const query = `{ job(id: "${job}") { state stage problem { code message } importPreview { counts { file rows } faults(first: 5) { edges { node { code message file row field value rows } } } notices(first: 5) { totalCount } } } }`;
    const until = performance.now() + PATIENCE_MS;
    while (performance.now() < until) {
      const answer = await this.ask(asker, JSON.stringify({ query }));
      const found = answer?.json.data?.["job"] as
        | { state: string; problem: { code: string } | null }
        | null
        | undefined;
      if (found == null) return undefined;
      if (found.problem?.code === "INTERNAL_SERVER_ERROR" || found.problem?.code === "UNEXPECTED")
        this.find("internal", words);
      if (!/^(READING|CHECKING|WRITING)$/.test(found.state)) return found.state;
      await new Promise((resolve) => setTimeout(resolve, 10));
    }
    this.find("hangs", `the import did not end: ${words}`);
    return undefined;
  }

  private find(kind: "internal" | "hangs" | "foreign", words: string): void {
    const finding = `${kind}: ${words}${kind === "internal" ? `\n${this.logged.join("\n")}` : ""}`;
    this.findings[kind].push(finding);
    this.tell(finding);
  }
}

function readJson(text: string): (Answer["json"] & { code?: string }) | undefined {
  try {
    return JSON.parse(text);
  } catch {
    return undefined;
  }
}

export async function fuzz(args: readonly string[] = []): Promise<void> {
  const { values } = parseArgs({
    args: [...args],
    options: {
      requests: { type: "string", default: "10000" },
      files: { type: "string", default: "1000" },
      seed: { type: "string", default: "20270619" },
    },
  });
  const print = (finding: string) => process.stderr.write(`${finding}\n\n`);
  const found = await fuzzed({
    requests: Number(values.requests),
    files: Number(values.files),
    seed: Number(values.seed),
    tell: print,
  });
  figure("fuzz.requests", found.requests, "requests");
  figure("fuzz.done", (100 * found.done) / found.requests, "%");
  figure("fuzz.files", found.files, "files");
  figure("fuzz.internal", found.internal.length, "answers");
  figure("fuzz.hangs", found.hangs.length, "requests");
  figure("fuzz.foreign", found.foreign.length, "rows");
}
