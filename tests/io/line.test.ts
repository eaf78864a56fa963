/** Who waits for a thread: in order, no account before another for having asked more, and no more than a line can hold. */
import { describe, expect, it } from "vitest";
import { Refused } from "../../server/store/fault.ts";
import { Stopped } from "../../server/worker/jobs.ts";
import { Line } from "../../server/worker/line.ts";

const settled = () => new Promise((resolve) => setImmediate(resolve));

/** A line in which each who is taken up is written down, and leaves when told. */
function lineOf(most: number, limits = { each: 8, all: 64 }) {
  const line = new Line(most, limits);
  const begun: string[] = [];
  const join = (account: string, name: string, signal?: AbortSignal): Promise<void> => {
    const wait = line.take({ account, signal });
    if (wait === null) begun.push(name);
    return (wait ?? Promise.resolve()).then(() => {
      if (wait !== null) begun.push(name);
    });
  };
  return { line, begun, join };
}

describe("the line for the threads", () => {
  it("takes up in the order of asking, and never more than there are places", async () => {
    const { line, begun, join } = lineOf(2);
    for (const name of ["a", "b", "c", "d"]) void join("restorer", name);
    await settled();
    expect([begun, line.taken, line.waiting]).toEqual([["a", "b"], 2, 2]);
    line.leave("restorer");
    await settled();
    expect([begun, line.taken, line.waiting]).toEqual([["a", "b", "c"], 2, 1]);
    for (let i = 0; i < 3; i++) line.leave("restorer");
    await settled();
    expect([begun, line.taken]).toEqual([["a", "b", "c", "d"], 0]);
  });

  it("lets an account that has nothing at work in before the long line of another", async () => {
    const { line, begun, join } = lineOf(2);
    for (let i = 0; i < 8; i++) void join("owner", `owner ${i}`);
    void join("restorer", "restorer");
    void join("member", "member");
    for (const leaving of ["owner", "owner", "restorer"]) {
      line.leave(leaving);
      await settled();
    }
    expect(begun).toEqual(["owner 0", "owner 1", "restorer", "owner 2", "member"]);
  });

  it("refuses past the limit of an account in words, and still takes others; past the limit of all nobody", async () => {
    const { line, join } = lineOf(1, { each: 2, all: 3 });
    for (let i = 0; i < 3; i++) void join("owner", `owner ${i}`);
    expect(() => line.take({ account: "owner" })).toThrow(Refused);
    expect(line.refusal("owner")).toMatchObject({
      code: "TOO_BUSY",
      message: expect.stringMatching(/^You have asked for 2 things already .* ask again\.$/),
    });
    expect(line.refusal("restorer")).toBeNull();
    void join("restorer", "restorer");
    expect(line.refusal("member")).toMatchObject({ code: "TOO_BUSY", message: expect.stringContaining("in a minute") });
    line.leave("owner");
    await settled();
    expect(line.refusal("member")).toBeNull();
  });

  it("is left by whoever goes away, and is then the next one's", async () => {
    const { line, begun, join } = lineOf(1);
    void join("owner", "first");
    const gone = new AbortController();
    const waiting = join("owner", "gone", gone.signal);
    void join("owner", "next");
    gone.abort();
    await expect(waiting).rejects.toBeInstanceOf(Stopped);
    expect(line.waiting).toBe(1);
    line.leave("owner");
    await settled();
    expect(begun).toEqual(["first", "next"]);
    expect(() => line.take({ account: "owner", signal: gone.signal })).toThrow(Stopped);
  });
});
