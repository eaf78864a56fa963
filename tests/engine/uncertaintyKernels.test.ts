/** The kernels in WebAssembly against the plain loops that they stand for. */
import { beforeEach, describe, expect, it } from "vitest";
import { drawRow, normalTable, pertTable } from "../../server/engine/chance/inverseTable.ts";
import { fillRandom, streamOf } from "../../server/engine/chance/random.ts";
import { RowDraw } from "../../server/engine/odds/draw.ts";
import { KERNELS_END, type Kernels, kernelsOver, LINK, ROW } from "../../server/engine/odds/kernels.ts";
import { LANES } from "../../server/engine/odds/runs.ts";
import { seeded } from "../support/networks.ts";

const FIRST = 16 * Math.ceil(KERNELS_END / 16);
const LINKS = FIRST + 8 * ROW;
let memory: WebAssembly.Memory;
let kernels: Kernels;
const at = (row: number) => FIRST + ROW * row;
const row = (n: number) => new Float64Array(memory.buffer, at(n), LANES);

beforeEach(() => {
  memory = new WebAssembly.Memory({ initial: 4 });
  kernels = kernelsOver(memory);
  const random = seeded(5);
  for (let n = 0; n < 8; n++) for (let i = 0; i < LANES; i++) row(n)[i] = Math.floor(random() * 4000) / 8;
  const links = new DataView(memory.buffer, LINKS);
  [1.5, -3, 0, 200].forEach((lag, k) => {
    links.setUint32(LINK * k, at(k), true);
    links.setFloat64(LINK * k + 8, lag, true);
  });
});

/** Starts by definition, from rows 0 to 3 with their lags, of which `links` hold, and the row that begins. */
function starts(links: number, release: number, begin: Float64Array): number[] {
  const lags = [1.5, -3, 0, 200].slice(0, links);
  return Array.from({ length: LANES }, (_, i) =>
    Math.max(release, begin[i]!, ...lags.map((lag, k) => row(k)[i]! + lag)),
  );
}

describe("a pass in WebAssembly", () => {
  it.each([0, 1, 2, 3, 4])(
    "starts after %i links, the release and the row that begins, and takes its hours",
    (links) => {
      row(0)[7] = Number.POSITIVE_INFINITY;
      const expected = starts(links, 230, row(4));
      kernels.pass(LINKS, LINKS + LINK * links, 230, at(4), at(5), at(6), at(7));
      expect([...row(5)]).toEqual(expected);
      expect([...row(6)]).toEqual(expected.map((start, i) => start + row(7)[i]!));
    },
  );

  it("takes again the hours between a start and a finish", () => {
    const work = Array.from(row(6), (finish, i) => finish - row(5)[i]!);
    const expected = starts(3, 100, row(4));
    kernels.again(LINKS, LINKS + LINK * 3, 100, at(4), at(5), at(6));
    expect([...row(5)]).toEqual(expected);
    expect([...row(6)]).toEqual(expected.map((start, i) => start + work[i]!));
  });

  it("may begin at the row that it writes, as an arrival does", () => {
    const expected = starts(2, 0, row(5));
    kernels.pass(LINKS, LINKS + LINK * 2, 0, at(5), at(5), at(6), at(7));
    expect([...row(5)]).toEqual(expected);
  });

  it("raises the end to the later of each run", () => {
    const expected = Array.from(row(0), (t, i) => Math.max(t, row(1)[i]!));
    kernels.raise(at(0), at(1));
    expect([...row(0)]).toEqual(expected);
  });
});

describe("values drawn in WebAssembly", () => {
  const stream = streamOf("crankcase hours");

  it("are those of the plain loop to the last figure, however far out, with room for their table and without", () => {
    const own = new WebAssembly.Memory({ initial: 2 });
    const draw = new RowDraw(own.buffer, kernelsOver(own), FIRST, 2);
    const drawn = new Int32Array(LANES);
    const values = new Float64Array(LANES);
    let beyond = 0;
    for (let strip = 0; strip < 1200; strip++) {
      const table = [normalTable(), pertTable(0.2), pertTable(0.7)][strip % 3]!;
      fillRandom(drawn, LANES, 2 ** 40 + 3, strip, stream);
      drawRow(table, drawn, LANES, 3, 8.5, values, 0);
      draw.fill(table, stream, 3, 8.5, 2 ** 40 + 3, strip);
      expect(draw.drawn).toEqual(drawn);
      expect(draw.values).toEqual(values);
      for (const d of drawn) if (Math.clz32((d ^ (d >> 31)) & 0x7fffffff) > 16) beyond++;
    }
    expect(beyond).toBeGreaterThan(0);
  });

  it("give powers of e within two roundings of Math.exp, and far below and above stay small and large", () => {
    const random = seeded(8);
    const exponents = Float64Array.from({ length: LANES }, () => random() * 60 - 30);
    exponents.set([0, -0, 1, -1, 700, -700]);
    row(0).set(exponents);
    row(0).set([-1e6, 1e6], 6);
    kernels.exp(at(0));
    for (let i = 0; i < LANES; i++) {
      if (i === 6 || i === 7) continue;
      expect(Math.abs(row(0)[i]! / Math.exp(exponents[i]!) - 1)).toBeLessThanOrEqual(2 * Number.EPSILON);
    }
    expect(row(0)[0]).toBe(1);
    expect(row(0)[6]).toBeLessThan(1e-300);
    expect(row(0)[7]).toBeGreaterThan(1e300);
  });
});
