/** Asks a server again that had too much to do: it says so before anything is done, so that a change too may be sent again. */

/** Times that one request is sent, and the longest pause that is kept between, milliseconds. */
const MOST_TIMES = 4;
const MOST_PAUSE = 8_000;

type Fetch = (url: RequestInfo | URL, init?: RequestInit) => Promise<Response>;

/** As fetch. What still is refused after the last try is given as it came. */
export async function askAgain(
  url: RequestInfo | URL,
  init?: RequestInit,
  { ask = fetch, random = Math.random }: { ask?: Fetch; random?: () => number } = {},
): Promise<Response> {
  for (let times = 1; ; times++) {
    const answer = await ask(url, init);
    if (times >= MOST_TIMES || !(await isTooBusy(answer))) return answer;
    const seconds = Number(answer.headers.get("retry-after")) || 1;
    // Longer each time, and not all who were refused together come back together.
    await pause(Math.min(MOST_PAUSE, seconds * 1_000 * 2 ** (times - 1)) * (0.5 + random()), init?.signal);
  }
}

/** Only the program's own refusal says that nothing was done: a 503 of something between may have lost the answer. */
async function isTooBusy(answer: Response): Promise<boolean> {
  if (answer.status !== 503) return false;
  const body: unknown = await answer
    .clone()
    .json()
    .catch(() => null);
  return (body as { code?: unknown } | null)?.code === "TOO_BUSY";
}

function pause(ms: number, signal: AbortSignal | null | undefined): Promise<void> {
  return new Promise((resolve, reject) => {
    const leave = (): void => {
      clearTimeout(timer);
      reject(signal?.reason);
    };
    const timer = setTimeout(() => {
      signal?.removeEventListener("abort", leave);
      resolve();
    }, ms);
    if (signal?.aborted) leave();
    else signal?.addEventListener("abort", leave, { once: true });
  });
}
