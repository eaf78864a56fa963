/** Work that several wait for is given up when the last of them has left, and not before. */
import { expect, it } from "vitest";
import { Stopped } from "../../server/worker/jobs.ts";
import { SharedWork } from "../../server/worker/sharedWork.ts";

function work() {
  let finish = (_value: string): void => {};
  let ending: AbortSignal | undefined;
  let dropped = 0;
  const shared = new SharedWork<string>(
    (signal) => {
      ending = signal;
      return new Promise((resolve, reject) => {
        finish = resolve;
        signal.addEventListener("abort", () => reject(new Stopped()));
      });
    },
    () => dropped++,
  );
  return { shared, finish: (value: string) => finish(value), given: () => ({ up: ending!.aborted, dropped }) };
}

it("goes on while somebody waits for it", async () => {
  const { shared, finish, given } = work();
  const leaving = new AbortController();
  const first = shared.wait(leaving.signal);
  const second = shared.wait();
  leaving.abort();
  await expect(first).rejects.toBeInstanceOf(Stopped);
  expect(given()).toEqual({ up: false, dropped: 0 });
  finish("found");
  expect(await second).toBe("found");
  expect(await shared.wait()).toBe("found");
  expect(given()).toEqual({ up: false, dropped: 0 });
});

it("is given up with the last who waits, and forgotten at once", async () => {
  const { shared, given } = work();
  const leaving = [new AbortController(), new AbortController()];
  const waits = leaving.map(({ signal }) => shared.wait(signal).catch((error: unknown) => error));
  for (const one of leaving) one.abort();
  for (const wait of waits) expect(await wait).toBeInstanceOf(Stopped);
  expect(given().up).toBe(true);
  expect(given().dropped).toBeGreaterThan(0);
});
