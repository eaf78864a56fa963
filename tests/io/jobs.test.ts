/** Long work can be followed and stopped, by its own workshop alone. */
import { describe, expect, it } from "vitest";
import { InvalidInput, NotFound, Refused } from "../../server/store/fault.ts";
import { Jobs, type JobView } from "../../server/worker/jobs.ts";

const LIMITS = { finished: 2, refused: 2, ready: 1, reportEvery: 1 };
const ours = { workshopId: "quill-lane" };
const theirs = { workshopId: "elsewhere" };

async function follow(jobs: Jobs, id: string): Promise<JobView[]> {
  const views: JobView[] = [];
  for await (const view of jobs.changes(id, ours)) views.push(view);
  return views;
}

describe("a job", () => {
  it("is followed from beginning to end, its last state always told", async () => {
    const jobs = new Jobs(LIMITS);
    const { id } = jobs.start("import", ours, async (job) => {
      for (let i = 1; i <= 300; i += 1) {
        job.progress("Writing", i, 300);
        // Several changes a step: however slow the machine, there are fewer reports than changes.
        if (i % 3 === 0) await job.breathe();
      }
      return "result";
    });
    const views = await follow(jobs, id);
    expect(views.at(-1)).toMatchObject({ state: "DONE", done: 300, total: 300, result: "result", problem: null });
    expect(views.length).toBeLessThan(300);
    expect(views.map((view) => view.done)).toEqual([...views.map((view) => view.done)].sort((a, b) => a - b));
  });

  it("waits when it is ready, goes on when asked, and only once", async () => {
    const jobs = new Jobs(LIMITS);
    const { id } = jobs.start("import", ours, async (job) => {
      job.enter("READY");
      return 20;
    });
    expect(() => jobs.resume(id, ours, async () => null)).toThrow(InvalidInput);
    await new Promise((resolve) => setImmediate(resolve));
    expect(jobs.get(id, ours)).toMatchObject({ state: "READY", result: 20 });
    expect(jobs.resume(id, ours, async (_job, result) => Number(result) + 1).state).toBe("WRITING");
    expect(() => jobs.resume(id, ours, async () => null)).toThrow(InvalidInput);
    expect((await follow(jobs, id)).at(-1)).toMatchObject({ state: "DONE", result: 21 });
  });

  it("that is stopped ends as stopped, at its next step", async () => {
    const jobs = new Jobs(LIMITS);
    const { id } = jobs.start("import", ours, async (job) => {
      for (;;) await job.breathe();
    });
    jobs.stop(id, ours);
    expect((await follow(jobs, id)).at(-1)).toMatchObject({ state: "STOPPED", result: null });
    expect(jobs.stop(id, ours).state).toBe("STOPPED");
  });

  it("that fails says why", async () => {
    const jobs = new Jobs(LIMITS);
    const { id } = jobs.start("import", ours, async () => {
      throw new InvalidInput([{ code: "CYCLE", message: "A waits for B, B for A.", rows: ["A", "B", "A"] }]);
    });
    expect((await follow(jobs, id)).at(-1)).toMatchObject({
      state: "FAILED",
      problem: { code: "CYCLE", rows: ["A", "B", "A"] },
    });
  });

  it("of another workshop is not there", () => {
    const jobs = new Jobs(LIMITS);
    const { id } = jobs.start("import", ours, async () => null);
    for (const look of [
      () => jobs.get(id, theirs),
      () => jobs.stop(id, theirs),
      () => jobs.changes(id, theirs),
      () => jobs.resume(id, theirs, async () => null),
    ])
      expect(look).toThrow(NotFound);
  });

  it("may be left by who follows it while nothing happens", async () => {
    const jobs = new Jobs(LIMITS);
    const { id } = jobs.start("import", ours, async (job) => {
      job.enter("READY");
    });
    await new Promise((resolve) => setImmediate(resolve));
    const reports = jobs.changes(id, ours);
    await reports.next();
    const pending = reports.next();
    await reports.return!();
    expect((await pending).done).toBe(true);
  });
});

it("finished jobs are forgotten, the oldest first, and of those that wait the oldest is stopped", async () => {
  const jobs = new Jobs(LIMITS);
  const ids: string[] = [];
  for (let i = 0; i < 4; i += 1) {
    ids.push(jobs.start("import", ours, async () => i).id);
    await follow(jobs, ids[i]!);
  }
  expect(() => jobs.get(ids[0]!, ours)).toThrow(NotFound);
  expect(jobs.get(ids[3]!, ours).state).toBe("DONE");
  const waiting = [1, 2].map(() => jobs.start("import", ours, async (job) => job.enter("READY")).id);
  await new Promise((resolve) => setImmediate(resolve));
  expect(waiting.map((id) => jobs.get(id, ours).state).sort()).toEqual(["READY", "STOPPED"]);
});

it("what was refused can be read as refused, by its own workshop, and drops no finished job", async () => {
  const jobs = new Jobs(LIMITS);
  const { id } = jobs.start("import", ours, async () => 1);
  await follow(jobs, id);
  const refused = [1, 2, 3].map(() => jobs.refused("odds", ours, new Refused("TOO_BUSY", "Too much waits.")).id);
  expect(() => jobs.get(refused[0]!, ours)).toThrow(NotFound);
  expect(jobs.get(refused[2]!, ours)).toMatchObject({ state: "FAILED", problem: { code: "TOO_BUSY" } });
  expect(() => jobs.get(refused[2]!, theirs)).toThrow(NotFound);
  expect(jobs.get(id, ours).state).toBe("DONE");
});
