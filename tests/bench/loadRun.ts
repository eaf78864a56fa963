/** Connections that ask one thing after the other, each as soon as it has its answer. */
import { once } from "node:events";
import { Agent, type IncomingMessage, request } from "node:http";
import type { Ask } from "./loadMix.ts";

export interface LoadRun {
  /** Milliseconds from asking to the last byte of each answer that came in the measured time, sorted. */
  times: number[];
  /** Answers a second, those refused not counted. */
  rps: number;
  /** Requests of the measured time that were answered 503. */
  refused: number;
  /** Answers that were neither right nor a 503, at any time. */
  failed: { kind: string; status: number; body: string }[];
}

export interface LoadOptions {
  connections: number;
  /** Milliseconds before counting, and of counting. */
  warm: number;
  measured: number;
}

/** Longest that a refused connection waits before it asks again, whatever Retry-After says, milliseconds. */
const MOST_PAUSE = 5_000;

/** Keeps every connection asking until the time is over, then waits for the last answers. */
export async function drive(address: string, next: () => Ask, options: LoadOptions): Promise<LoadRun> {
  const agent = new Agent({ keepAlive: true, maxSockets: options.connections, scheduling: "fifo" });
  const url = new URL("/graphql", address);
  const from = performance.now() + options.warm;
  const to = from + options.measured;
  const run: LoadRun = { times: [], rps: 0, refused: 0, failed: [] };

  async function connection(): Promise<void> {
    while (performance.now() < to) {
      const ask = next();
      const began = performance.now();
      const { status, body, retryAfter } = await answerTo(agent, url, ask.body);
      const ended = performance.now();
      const counts = ended >= from && ended < to;
      if (status === 503) {
        ask.done?.(null);
        if (counts) run.refused++;
        // As whoever is told to come back does: not all at once.
        const pause = Math.min(MOST_PAUSE, retryAfter * 1_000) * (1 + Math.random());
        await new Promise((resolve) => setTimeout(resolve, Math.min(pause, Math.max(0, to - ended))));
        continue;
      }
      const right = status === 200 && !body.includes('"errors":[') && (ask.done?.(body) ?? true);
      if (!right) run.failed.push({ kind: ask.kind, status, body: body.toString().slice(0, 300) });
      else if (counts) run.times.push(ended - began);
    }
  }

  await Promise.all(Array.from({ length: options.connections }, connection));
  agent.destroy();
  run.times.sort((a, b) => a - b);
  run.rps = run.times.length / (options.measured / 1_000);
  return run;
}

export interface Answer {
  status: number;
  body: Buffer;
  /** Seconds. */
  retryAfter: number;
}

/** Asks once. */
export async function answerTo(agent: Agent, url: URL, body: string): Promise<Answer> {
  const asked = request(url, {
    agent,
    method: "POST",
    headers: { "content-type": "application/json", "content-length": Buffer.byteLength(body) },
  });
  asked.end(body);
  try {
    const [answer] = (await once(asked, "response")) as [IncomingMessage];
    const parts: Buffer[] = [];
    answer.on("data", (part: Buffer) => parts.push(part));
    await once(answer, "end");
    const retryAfter = Number(answer.headers["retry-after"]) || 1;
    return { status: answer.statusCode ?? 0, body: Buffer.concat(parts), retryAfter };
  } catch (error) {
    // The server closed a connection that it held for idle just as it was used again: nobody has read the request.
    if (asked.reusedSocket && (error as NodeJS.ErrnoException).code === "ECONNRESET") return answerTo(agent, url, body);
    throw error;
  }
}
