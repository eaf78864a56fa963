/** A request that the server had no time for is sent again, not for ever, and never one that may have been done. */
import { afterEach, beforeEach, expect, test, vi } from "vitest";
import { askAgain } from "../../web/shared/askAgain.ts";

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

const busy = (body: unknown = { code: "TOO_BUSY", message: "" }, seconds = "2") =>
  new Response(JSON.stringify(body), { status: 503, headers: { "retry-after": seconds } });
const saved = () => new Response("{}", { status: 200 });

/** A server that gives these answers in turn, and when it was asked, in milliseconds from the first time. */
function serverWith(...answers: Response[]) {
  const asked: number[] = [];
  const from = Date.now();
  const ask = async (): Promise<Response> => {
    asked.push(Date.now() - from);
    return answers[Math.min(asked.length, answers.length) - 1]!.clone();
  };
  return { asked, ask };
}

test("a save that was refused before any work is sent again once the server says, and each time later", async () => {
  const { asked, ask } = serverWith(busy(), busy(), saved());
  const answer = askAgain("/graphql", {}, { ask, random: () => 0.5 });
  await vi.runAllTimersAsync();
  expect((await answer).status).toBe(200);
  expect(asked).toEqual([0, 2_000, 6_000]);
});

test("many that are refused at once do not come back at once", async () => {
  const pauses = await Promise.all(
    [0, 0.9].map(async (random) => {
      const { asked, ask } = serverWith(busy(), saved());
      const answer = askAgain("/graphql", {}, { ask, random: () => random });
      await vi.runAllTimersAsync();
      await answer;
      return asked[1]!;
    }),
  );
  expect(pauses[0]).toBe(1_000);
  expect(pauses[1]).toBe(2_800);
});

test("a server that stays too busy is left alone after four times, and its words are handed on", async () => {
  const { asked, ask } = serverWith(busy({ code: "TOO_BUSY", message: "Nothing of this was done." }, "60"));
  const answer = askAgain("/graphql", {}, { ask, random: () => 0.5 });
  await vi.runAllTimersAsync();
  expect(await (await answer).json()).toMatchObject({ message: "Nothing of this was done." });
  expect(asked).toEqual([0, 8_000, 16_000, 24_000]);
});

test("what something between answered is not sent again: the save may have been done", async () => {
  for (const body of ["<h1>Service unavailable</h1>", { code: "OTHER" }]) {
    const { asked, ask } = serverWith(busy(body));
    expect((await askAgain("/graphql", {}, { ask })).status).toBe(503);
    expect(asked).toHaveLength(1);
  }
});

test("whoever leaves the sheet asks no more", async () => {
  const { asked, ask } = serverWith(busy());
  const leaving = new AbortController();
  const answer = askAgain("/graphql", { signal: leaving.signal }, { ask }).catch((error: unknown) => error);
  await vi.advanceTimersByTimeAsync(10);
  leaving.abort();
  expect(await answer).toMatchObject({ name: "AbortError" });
  await vi.runAllTimersAsync();
  expect(asked).toHaveLength(1);
});
