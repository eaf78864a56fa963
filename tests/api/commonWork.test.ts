/** Common work of the trade: its lines hold together for any count, and are added as they are typed. */
import { afterAll, beforeAll, describe, expect, it } from "vitest";
import { commonWork, linesOf } from "../../server/io/commonWork.ts";
import { type Cells, cellsOf } from "../../web/several/commonWork.ts";
import { rowsOf } from "../../web/several/tables.ts";
import { startServer, type TestServer } from "../support/server.ts";

const all = await commonWork();

let server: TestServer;
beforeAll(async () => {
  server = await startServer();
});
afterAll(() => server.close());

/** Without its wait. */
const titleIn = (after: string): string => after.replace(/ \+ \d+ (days|h)$/, "");

it("is there for an engine, a magneto, wheels, and paint in stages", () => {
  expect(all.map(({ name }) => name)).toEqual(["A magneto", "An engine", "Paint in stages", "Wire wheels"]);
});

describe.each(all.map((one) => [one.name, one] as const))("%s", (_, one) => {
  const { least, most } = one.counts ?? { least: 1, most: 1 };
  it.each([...new Set([least, Math.min(2, most), most])])("holds together for %i", (count) => {
    const { parts, work } = linesOf(one, count);
    const names = new Set(parts.map(({ name }) => name));
    expect(names.size).toBe(parts.length);
    const titles = work.map(({ title }) => title);
    expect(new Set(titles).size).toBe(titles.length);
    expect(JSON.stringify({ parts, work })).not.toMatch(/\{(n|last)\}/);
    const needed = new Set(work.flatMap(({ needs }) => needs));
    // Each part is needed by some work, and each that is needed is among them.
    expect(needed).toEqual(names);
    for (const [i, { hours, after, notes }] of work.entries()) {
      const [a, b, c] = hours;
      expect(a > 0 && a <= b && b <= c).toBe(true);
      // That it is common practice is said once, where it is put in.
      expect(notes).not.toContain("common practice");
      // Nothing comes after what stands below it, so there is no circle; all but the first come after something of it.
      for (const title of after.map(titleIn)) expect(titles.indexOf(title)).toBeLessThan(i);
      expect(after.map(titleIn).every((title) => titles.includes(title))).toBe(true);
    }
    const ends = titles.filter((title) => !work.some(({ after }) => after.map(titleIn).includes(title)));
    expect(ends.length).toBe(one.name === "Wire wheels" ? count : 1);
  });

  it("is added as one change with one undo, and makes a plan in which its parts are open", async () => {
    const ask = async <T>(document: string, variables: object = {}): Promise<T> => {
      const { data, errors } = await server.query<T>(document, variables as Record<string, unknown>);
      if (errors !== undefined) throw new Error(JSON.stringify(errors));
      return data!;
    };
    const { saveRestoration } = await ask<{ saveRestoration: { id: string } }>(
      `mutation ($machine: String!) { saveRestoration(input: { machine: $machine }) { ... on Saved { id } } }`,
      { machine: one.name },
    );
    const { commonWork: found } = await ask<{ commonWork: { lines: Parameters<typeof cellsOf>[0] }[] }>(
      `query ($name: String!) { commonWork(name: $name) { lines {
        parts { name quantity group safetyCritical } work { title trade group hoursLeast hoursLikely hoursMost after needs notes } } } }`,
      { name: one.name },
    );
    const cells = cellsOf(found[0]!.lines);
    const lines = (of: Cells[]) => of.map((cell, key) => ({ key, cells: cell }));
    const { rows } = rowsOf({ parts: lines(cells.parts), work: lines(cells.work), quotes: [] });
    const { addSeveral } = await ask<{ addSeveral: { __typename: string; change: { id: string } } }>(
      `mutation ($restoration: ID!, $rows: [TypedRowsInput!]!) { addSeveral(restoration: $restoration, rows: $rows) {
        __typename ... on Saved { change { id } } ... on InvalidInput { message faults { file row field message } } } }`,
      { restoration: saveRestoration.id, rows },
    );
    expect(addSeveral).toMatchObject({ __typename: "Saved" });
    const where = { restorationId: saveRestoration.id };
    const { store } = server;
    const operations = await store.operation.findMany({ where });
    expect(operations.length).toBe(cells.work.length);
    expect(operations.reduce((sum, { hoursLikely }) => sum + hoursLikely, 0)).toBeCloseTo(
      linesOf(one, one.counts?.usual ?? 1).work.reduce((sum, { hours }) => sum + hours[1], 0),
    );
    expect(await store.part.count({ where: { ...where, safetyCritical: true } })).toBe(
      one.name === "Wire wheels" ? cells.parts.length : 0,
    );
    const { holdUps } = await ask<{ holdUps: { completion: { open: boolean; dateWithOpenInHand: string } } }>(
      "query ($id: ID!) { holdUps(restoration: $id) { completion { open dateWithOpenInHand } } }",
      { id: saveRestoration.id },
    );
    expect(holdUps.completion.open).toBe(true);
    await ask(`mutation ($change: ID!) { undo(change: $change) { __typename ... on Saved { id } } }`, {
      change: addSeveral.change.id,
    });
    expect(await store.operation.count({ where })).toBe(0);
    expect(await store.part.count({ where })).toBe(0);
  });
});

it("takes no count that its work does not have, and says which it has", async () => {
  const asked = (name: string, count: number) =>
    server.query(
      `query ($name: String!, $count: Int) { commonWork(name: $name) { lines(count: $count) { parts { name } } } }`,
      {
        name,
        count,
      },
    );
  expect((await asked("An engine", 0)).errors?.[0]?.message).toContain("must be 1 to 16 cylinders (it is 0)");
  expect((await asked("A magneto", 2)).errors?.[0]?.message).toContain("must be 1: A magneto is one of its kind");
  expect((await asked("A gearbox", 2)).data).toEqual({ commonWork: [] });
});
