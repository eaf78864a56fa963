/** When the server is asked again after it did not answer: pauses that grow, and what cuts them short. */
import { afterEach, beforeEach, describe, expect, it, vi } from "vitest";
import { connectionTo, isAnswer, waitAskedBy } from "../../web/shared/connection.ts";

const answer = (status = 200, headers: Record<string, string> = { "content-type": "application/json" }) => ({
  status,
  headers: new Headers(headers),
});

/** A connection to a server that does `does`, and the moments at which it was asked, in milliseconds from the start. */
function followed(does: () => Promise<ReturnType<typeof answer>>) {
  const start = Date.now();
  const asked: number[] = [];
  const connection = connectionTo(
    () => {
      asked.push(Date.now() - start);
      return does();
    },
    // The longest that chance makes of each pause.
    () => 1,
  );
  return { connection, asked, begun: () => Date.now() };
}
const silent = () => Promise.reject(new Error("no network"));

beforeEach(() => void vi.useFakeTimers());
afterEach(() => void vi.useRealTimers());

describe("a server that does not answer", () => {
  it("is asked again after pauses that double from a second to a minute", async () => {
    const { connection, asked, begun } = followed(silent);
    connection.unanswered(begun());
    await vi.advanceTimersByTimeAsync(250_000);
    const pauses = asked.map((at, index) => at - (asked[index - 1] ?? 0));
    expect(pauses).toEqual([1, 2, 4, 8, 16, 32, 60, 60, 60].map((seconds) => seconds * 1_000));
    expect(connection.state()).toEqual({ answers: false, againAt: begun() + 243_000 + 60_000 - 250_000 });
  });

  it("is not asked by all devices in one moment: chance takes up to half of a pause away", async () => {
    const connection = connectionTo(silent, () => 0);
    connection.unanswered(Date.now());
    expect(connection.state().againAt).toBe(Date.now() + 500);
  });

  it("counts as one failure where several requests fail together", async () => {
    const { connection, begun } = followed(silent);
    const together = begun();
    for (const _ of [1, 2, 3]) connection.unanswered(together);
    expect(connection.state().againAt).toBe(begun() + 1_000);
  });

  it("is asked at once where something hints that it may answer, and what waits is then sent", async () => {
    let up = false;
    const { connection, asked, begun } = followed(() => (up ? Promise.resolve(answer()) : silent()));
    const sent = vi.fn();
    connection.atGoodMoments(sent);
    connection.unanswered(begun());
    await vi.advanceTimersByTimeAsync(20_000);
    const before = asked.length;
    up = true;
    connection.hint();
    await vi.advanceTimersByTimeAsync(0);
    expect(asked).toHaveLength(before + 1);
    expect(sent).toHaveBeenCalledTimes(1);
    expect(connection.state()).toEqual({ answers: true, againAt: null });
    await vi.advanceTimersByTimeAsync(120_000);
    expect(asked).toHaveLength(before + 1);
  });

  it("is known to answer again by any request begun since, but not by one begun before it failed", async () => {
    const { connection, begun } = followed(silent);
    const sent = vi.fn();
    connection.atGoodMoments(sent);
    const early = begun();
    await vi.advanceTimersByTimeAsync(10);
    connection.unanswered(begun());
    connection.answered(early);
    expect(connection.state().answers).toBe(false);
    await vi.advanceTimersByTimeAsync(10);
    connection.answered(begun());
    expect(connection.state().answers).toBe(true);
    expect(sent).toHaveBeenCalledTimes(1);
  });

  it("is left alone for as long as it asks, whatever hints at it", async () => {
    const { connection, asked, begun } = followed(() => Promise.resolve(answer()));
    connection.settle(answer(503, { "content-type": "application/json", "retry-after": "30" }), begun());
    connection.hint();
    await vi.advanceTimersByTimeAsync(29_999);
    expect(asked).toEqual([]);
    expect(connection.state().answers).toBe(false);
    await vi.advanceTimersByTimeAsync(1);
    expect(asked).toEqual([30_000]);
    expect(connection.state().answers).toBe(true);
  });

  it("makes the pauses grow on where it answers the asking, and not what is sent then", async () => {
    const { connection, asked } = followed(() => Promise.resolve(answer()));
    connection.atGoodMoments(() => connection.settle(answer(503), Date.now() + 1));
    connection.settle(answer(503), Date.now());
    await vi.advanceTimersByTimeAsync(60_000);
    expect(asked).toEqual([1, 3, 7, 15, 31].map((seconds) => seconds * 1_000));
  });

  it("is asked anew where a hint comes while an earlier asking hangs", async () => {
    let answers = () => new Promise<ReturnType<typeof answer>>(() => undefined);
    const { connection, asked, begun } = followed(() => answers());
    connection.unanswered(begun());
    await vi.advanceTimersByTimeAsync(1_000);
    answers = () => Promise.resolve(answer());
    connection.hint();
    await vi.advanceTimersByTimeAsync(0);
    expect(asked).toEqual([1_000, 1_000]);
    expect(connection.state().answers).toBe(true);
  });
});

describe("an answer", () => {
  it("is one of the server's own: a refusal is, a proxy's or a sign-in page of the network is not", () => {
    const html = { "content-type": "text/html" };
    expect(isAnswer(answer(200))).toBe(true);
    expect(isAnswer(answer(401))).toBe(true);
    expect(isAnswer(answer(400, { "content-type": "application/graphql-response+json; charset=utf-8" }))).toBe(true);
    expect(isAnswer(answer(200, html))).toBe(false);
    for (const status of [502, 503, 504, 507, 429]) expect(isAnswer(answer(status))).toBe(false);
  });

  it("asks to wait by seconds or by a date, an hour at most", () => {
    const wait = (asked: string) => waitAskedBy(new Headers({ "retry-after": asked }));
    vi.setSystemTime("2026-11-25T10:00:00Z");
    expect(wait("120")).toBe(120_000);
    expect(wait("Wed, 25 Nov 2026 10:00:20 GMT")).toBe(20_000);
    expect(wait("Wed, 25 Nov 2026 09:00:00 GMT")).toBe(0);
    expect(wait("soon")).toBe(0);
    expect(wait("99999999999")).toBe(3_600_000);
    expect(waitAskedBy(new Headers())).toBe(0);
  });
});
