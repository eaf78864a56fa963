/**
 * Whether the server answers. What a browser says of its connection is only a hint to ask now; what counts is whether
 * requests are answered. While they are not, the server is asked again after growing pauses.
 */
import { useEffect, useRef, useSyncExternalStore } from "react";

const SHORTEST_MS = 1_000;
const LONGEST_MS = 60_000;
const LONGEST_ASKED_MS = 3_600_000;
/** An answer that stood for less than this is no reason to begin with short pauses again. */
const STEADY_MS = 5_000;
/** How long a request may stay without an answer where one sent again does no harm. */
const PATIENCE_MS = 30_000;
/** The server, or a proxy before it, asks to be tried later; 507: it has no room now. */
const LATER: ReadonlySet<number> = new Set([408, 425, 429, 502, 503, 504, 507]);

/** What is known now. */
export interface Connection {
  answers: boolean;
  /** When it is asked again, in milliseconds since 1970; null while it answers or is being asked. */
  againAt: number | null;
}

/** What of an answer tells whether it is one. */
interface Answer {
  status: number;
  headers: Pick<Headers, "get">;
}

/** True for an answer of the server's own: not a proxy's, nor the page with which a network asks for a password. */
export const isAnswer = ({ status, headers }: Answer): boolean =>
  !LATER.has(status) && /\bjson\b/.test(headers.get("content-type") ?? "");

/** Milliseconds that an answer asks to wait, by seconds or a date, an hour at most; 0 where it asks for none. */
export function waitAskedBy(headers: Pick<Headers, "get">): number {
  const asked = headers.get("retry-after")?.trim() ?? "";
  const wait = /^\d+$/.test(asked) ? Number(asked) * 1_000 : Date.parse(asked) - Date.now();
  return Number.isFinite(wait) ? Math.min(LONGEST_ASKED_MS, Math.max(0, wait)) : 0;
}

/**
 * Follows whether a server answers. `ask` sends the least request there is; `chance` draws from 0 to 1, so that many
 * devices do not come back in one moment.
 */
export function connectionTo(ask: (signal: AbortSignal) => Promise<Answer>, chance: () => number = Math.random) {
  let now: Connection = { answers: true, againAt: null };
  let failures = 0;
  let failedAt = Number.NEGATIVE_INFINITY;
  let answeredAt = Number.NEGATIVE_INFINITY;
  let pause = 0;
  /** Before this the server asked not to be tried. */
  let notBefore = 0;
  let timer: ReturnType<typeof setTimeout> | undefined;
  let asking: AbortController | null = null;
  const followers = new Set<() => void>();
  const waiters = new Set<() => void>();

  const set = (next: Connection) => {
    now = next;
    for (const told of [...followers]) told();
  };
  const goodMoment = () => {
    for (const send of [...waiters]) send();
  };

  /** A request begun at `begun` was answered. One begun before the last failure says nothing new. */
  function answered(begun: number): void {
    if (now.answers || begun < failedAt || Date.now() < notBefore) return;
    clearTimeout(timer);
    asking?.abort();
    asking = null;
    answeredAt = Date.now();
    set({ answers: true, againAt: null });
    goodMoment();
  }

  /** A request begun at `begun` was not answered; `wait`: milliseconds for which the server asked. */
  function unanswered(begun: number, wait = 0): void {
    notBefore = Math.max(notBefore, Date.now() + wait);
    // Several that fail together are one failure.
    if (now.answers || begun > failedAt) putOff();
  }

  function putOff(): void {
    const at = Date.now();
    if (now.answers && at - answeredAt >= Math.max(pause, STEADY_MS)) failures = 0;
    failures += 1;
    failedAt = at;
    const longest = Math.min(LONGEST_MS, SHORTEST_MS * 2 ** (failures - 1));
    pause = Math.max(longest * (0.5 + chance() / 2), notBefore - at);
    asking?.abort();
    asking = null;
    askIn(pause);
    set({ answers: false, againAt: at + pause });
  }

  function askIn(wait: number): void {
    clearTimeout(timer);
    timer = setTimeout(() => void askNow(), wait);
  }

  function settle(answer: Answer, begun: number): void {
    if (isAnswer(answer)) answered(begun);
    else unanswered(begun, waitAskedBy(answer.headers));
  }

  /** Asks at once, unless the server asked to be left alone until later. */
  async function askNow(): Promise<void> {
    const early = notBefore - Date.now();
    if (early > 0) {
      askIn(early);
      if (!now.answers) set({ answers: false, againAt: notBefore });
      return;
    }
    clearTimeout(timer);
    asking?.abort();
    const mine = new AbortController();
    asking = mine;
    const patience = setTimeout(() => mine.abort("late"), PATIENCE_MS);
    const begun = Date.now();
    if (!now.answers) set({ answers: false, againAt: null });
    const answer = await ask(mine.signal).catch(() => null);
    clearTimeout(patience);
    // Another was begun since, or another request was answered.
    if (asking !== mine) return;
    asking = null;
    if (answer !== null) notBefore = Math.max(notBefore, Date.now() + waitAskedBy(answer.headers));
    if (answer !== null && isAnswer(answer)) answered(Math.max(begun, failedAt));
    else putOff();
  }

  return {
    state: () => now,
    answered,
    unanswered,
    settle,
    /** Something says that the server may answer now, or no longer. */
    hint(mayBeLost = false): void {
      if (!now.answers || mayBeLost) void askNow();
      else goodMoment();
    },
    /** Something new waits to be sent, and whoever noted it sends it now: where that fails, the pauses begin anew. */
    beginAnew(): void {
      failures = 0;
    },
    /** Calls `told` after each change of the state. Returns how to end that. */
    follow(told: () => void): () => void {
      followers.add(told);
      return () => followers.delete(told);
    },
    /** Calls `send` whenever it is a good moment to send what waits. Returns how to end that. */
    atGoodMoments(send: () => void): () => void {
      waiters.add(send);
      return () => waiters.delete(send);
    },
  };
}

/** The one connection of this page. */
export const connection = connectionTo((signal) =>
  fetch("/graphql", {
    method: "POST",
    headers: { "content-type": "application/json" },
    body: JSON.stringify({ query: "{ __typename }" }),
    cache: "no-store",
    signal,
  }),
);

if (typeof window !== "undefined") {
  window.addEventListener("online", () => connection.hint());
  window.addEventListener("offline", () => connection.hint(true));
  window.addEventListener("pageshow", ({ persisted }) => persisted && connection.hint());
  document.addEventListener("visibilitychange", () => document.visibilityState === "visible" && connection.hint());
}

/** `fetch` that tells the connection how it ended. */
export async function watchedFetch(input: RequestInfo | URL, init?: RequestInit): Promise<Response> {
  const begun = Date.now();
  try {
    const response = await fetch(input, init);
    connection.settle(response, begun);
    return response;
  } catch (error) {
    if (!init?.signal?.aborted) connection.unanswered(begun);
    throw error;
  }
}

/** The same for what may safely be sent again: given up when nothing comes back for half a minute. */
export async function patientFetch(input: RequestInfo | URL, init?: RequestInit): Promise<Response> {
  const patience = new AbortController();
  const begun = Date.now();
  const late = setTimeout(() => {
    connection.unanswered(begun);
    patience.abort();
  }, PATIENCE_MS);
  init?.signal?.addEventListener("abort", () => patience.abort(), { once: true });
  try {
    return await watchedFetch(input, { ...init, signal: patience.signal });
  } finally {
    clearTimeout(late);
  }
}

export const useConnection = (): Connection => useSyncExternalStore(connection.follow, connection.state);

/** Calls `again` each time the server answers after it did not. */
export function useWhenAnswering(again: () => void): void {
  const { answers } = useConnection();
  const did = useRef(answers);
  useEffect(() => {
    if (answers && !did.current) again();
    did.current = answers;
  });
}
