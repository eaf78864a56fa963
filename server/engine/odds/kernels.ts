/** What the runs spend their time on, over LANES runs side by side: in WebAssembly, two runs an instruction. */
import { type Code, f64, f64x2, i32, kernelOf, type Local, moduleOf, repeat, when } from "../chance/assembly.ts";
import { OCTAVES, PIECES, SIDE, TO_PIECES } from "../chance/inverseTable.ts";
import { WARM_UP } from "../chance/random.ts";
import { SAME_INSTANT } from "../time/units.ts";
import { LANES } from "./runs.ts";

/** Bytes of a row of LANES numbers. */
export const ROW = 8 * LANES;

/** Bytes of a link: the place of the row it comes from (32 bits), and at 8 its lag in hours. */
export const LINK = 16;

/** Bytes of two numbers, and of the runs that one turn of a pass takes. */
const PAIR = 16;
const TURN = 4 * PAIR;

/** All places are bytes from the start of the memory. */
export interface Kernels {
  /**
   * Start and finish of a row: it starts at the latest of `release`, the row at `begin`, and the finishes with their
   * lags of the links from `links` to `stop`; it takes the hours at `work`.
   */
  pass(links: number, stop: number, release: number, begin: number, start: number, finish: number, work: number): void;
  /** The same with the hours between the start and the finish that stand there. */
  again(links: number, stop: number, release: number, begin: number, start: number, finish: number): void;
  /**
   * Of the runs whose bits are set at `own`, sets the bits at `into` of those in which `finish` with the lag is not before
   * `start`, or the same instant.
   */
  mark(finish: number, lag: number, start: number, own: number, into: number): void;
  /** Raises the row at `times` to the one at `finish`. */
  raise(times: number, finish: number): void;
  /**
   * Draws as fillRandom and drawRow do, to the last figure: into the row at `values`, from the table at `pieces` and the words
   * that `randomStart` gives. The numbers drawn are left at `drawn`.
   * @returns above 0 where some number lies beyond the pieces: its value is wrong, and its quantile is to be solved
   */
  draw(
    a: number,
    b: number,
    c: number,
    pieces: number,
    low: number,
    width: number,
    drawn: number,
    values: number,
  ): number;
  /** Raises e to each number of a row, within two roundings; what lies outside -708 to 709 as if it were there. */
  exp(row: number): void;
}

const link = { links: "i32", stop: "i32", release: "f64", begin: "i32", start: "i32", finish: "i32" } as const;
const inPass = {
  at: "i32",
  k: "i32",
  from: "i32",
  lag: "v128",
  s0: "v128",
  s1: "v128",
  s2: "v128",
  s3: "v128",
} as const;

/** Start and finish of a row: for each turn of runs all links, so that the starts stay where the processor computes. */
function startAndFinish(
  {
    links,
    stop,
    release,
    begin,
    start,
    finish,
    at,
    k,
    from,
    lag,
    ...s
  }: Record<keyof typeof link | keyof typeof inPass, Local>,
  hoursOf: (pair: number) => Code,
): Code[] {
  const starts = [s.s0, s.s1, s.s2, s.s3];
  const here = (row: Local): Code => i32.add(row.get, at.get);
  return [
    repeat(
      [
        ...starts.map((own, pair) =>
          own.set(f64x2.larger(f64x2.load(here(begin), 16 * pair), f64x2.splat(release.get))),
        ),
        when(i32.ltU(k.tee(links.get), stop.get), [
          repeat(
            [
              from.set(i32.add(i32.load(k.get), at.get)),
              lag.set(f64x2.loadSplat(k.get, 8)),
              ...starts.map((own, pair) =>
                own.set(f64x2.larger(own.get, f64x2.add(f64x2.load(from.get, 16 * pair), lag.get))),
              ),
            ],
            i32.ltU(k.tee(i32.add(k.get, i32.of(LINK))), stop.get),
          ),
        ]),
        ...starts.flatMap((own, pair) => [
          f64x2.store(here(finish), f64x2.add(own.get, hoursOf(pair)), 16 * pair),
          f64x2.store(here(start), own.get, 16 * pair),
        ]),
      ],
      i32.ltU(at.tee(i32.add(at.get, i32.of(TURN))), i32.of(ROW)),
    ),
  ];
}

const pass = kernelOf({ ...link, work: "i32" }, inPass, (local) =>
  startAndFinish(local, (pair) => f64x2.load(i32.add(local.work.get, local.at.get), 16 * pair)),
);

const again = kernelOf(link, inPass, (local) =>
  startAndFinish(local, (pair) =>
    f64x2.sub(
      f64x2.load(i32.add(local.finish.get, local.at.get), 16 * pair),
      f64x2.load(i32.add(local.start.get, local.at.get), 16 * pair),
    ),
  ),
);

const raise = kernelOf({ times: "i32", finish: "i32" }, { at: "i32" }, ({ times, finish, at }) => {
  const [own, other] = [i32.add(times.get, at.get), i32.add(finish.get, at.get)];
  return [
    repeat(
      [f64x2.store(own, f64x2.larger(f64x2.load(own), f64x2.load(other)))],
      i32.ltU(at.tee(i32.add(at.get, i32.of(PAIR))), i32.of(ROW)),
    ),
  ];
});

/** Runs whose bits stand in one word, in bytes of a row. */
const WORD = 8 * 32;

const mark = kernelOf(
  { finish: "i32", lag: "f64", start: "i32", own: "i32", into: "i32" },
  { at: "i32", word: "i32", runs: "i32", waits: "v128" },
  ({ finish, lag, start, own, into, at, word, runs, waits }) => {
    const pair = (row: Local, n: number): Code => f64x2.load(i32.add(row.get, at.get), PAIR * n);
    const bits = Array.from({ length: WORD / PAIR }, (_, n) =>
      i32.shl(
        f64x2.atLeast(f64x2.add(pair(finish, n), waits.get), f64x2.sub(pair(start, n), f64x2.of(SAME_INSTANT))),
        i32.of(2 * n),
      ),
    ).reduce((all, one) => i32.or(all, one));
    const set = i32.add(into.get, word.get);
    return [
      waits.set(f64x2.splat(lag.get)),
      repeat(
        [
          word.set(i32.shrU(at.get, i32.of(Math.log2(WORD / 4)))),
          when(runs.tee(i32.load(i32.add(own.get, word.get))), [
            i32.store(set, i32.or(i32.load(set), i32.and(runs.get, bits))),
          ]),
        ],
        i32.ltU(at.tee(i32.add(at.get, i32.of(WORD))), i32.of(ROW)),
      ),
    ];
  },
);

/** Where the table {@link TO_PIECES} stands. */
const SCALE = 0;

const draw = kernelOf(
  { a: "i32", b: "i32", c: "i32", pieces: "i32", low: "f64", width: "f64", drawn: "i32", values: "i32" },
  {
    ...({ counter: "i32", i: "i32", t: "i32", y: "i32", zeros: "i32", piece: "i32", at: "i32", rare: "i32" } as const),
    ...({ place: "f64", f: "f64" } as const),
  },
  ({ a, b, c, pieces, low, width, drawn, values, counter, i, t, y, zeros, piece, at, rare, place, f }) => {
    const [A, B, C, T] = [a.get, b.get, c.get, t.get];
    /** One step of the generator, as in fillRandom. */
    const step = [
      t.set(i32.add(i32.add(A, B), counter.get)),
      counter.set(i32.add(counter.get, i32.of(1))),
      a.set(i32.xor(B, i32.shrU(B, i32.of(9)))),
      b.set(i32.add(C, i32.shl(C, i32.of(3)))),
      c.set(i32.add(i32.rotl(C, i32.of(21)), T)),
    ];
    /** The piece in the table and how far into it, as in drawRow. */
    const lookUp = [
      y.set(i32.and(i32.xor(T, i32.shrS(T, i32.of(31))), i32.of(0x7fffffff))),
      zeros.set(i32.clz(y.get)),
      rare.set(i32.or(rare.get, i32.gtU(zeros.get, i32.of(OCTAVES)))),
      place.set(f64.mul(f64.add(f64.ofI32(y.get), f64.of(0.5)), f64.load(i32.shl(zeros.get, i32.of(3)), SCALE))),
      piece.set(i32.ofF64(place.get)),
      f.set(f64.sub(place.get, f64.ofI32(piece.get))),
      at.set(i32.add(i32.and(i32.shrS(T, i32.of(31)), i32.of(SIDE)), piece.get)),
      at.set(i32.add(at.get, i32.shl(i32.sub(zeros.get, i32.of(2)), i32.of(Math.log2(PIECES))))),
      at.set(i32.add(pieces.get, i32.shl(at.get, i32.of(5)))),
    ];
    const q = (n: number): Code => f64.load(at.get, 8 * n);
    const cubic = [2, 1, 0].reduce((rest, n) => f64.add(q(n), f64.mul(f.get, rest)), q(3));
    return [
      counter.set(i32.of(1)),
      repeat(step, i32.ltU(i.tee(i32.add(i.get, i32.of(1))), i32.of(WARM_UP))),
      i.set(i32.of(0)),
      repeat(
        [
          ...step,
          i32.store(i32.add(drawn.get, i.get), T),
          ...lookUp,
          f64.store(i32.add(values.get, i32.shl(i.get, i32.of(1))), f64.add(low.get, f64.mul(width.get, cubic))),
        ],
        i32.ltU(i.tee(i32.add(i.get, i32.of(4))), i32.of(4 * LANES)),
      ),
      rare.get,
    ];
  },
  "i32",
);

/** ln 2 in two parts, the first so short that its multiples are exact (fdlibm, e_exp.c). */
const LN2 = [0.6931471803691238, 1.9082149292705877e-10] as const;

/** Added to a small number and taken away again it leaves the nearest whole one, which stands in the lowest bits. */
const ROUND = 1.5 * 2 ** 52;

const factorial = (k: number): number => (k < 2 ? 1 : k * factorial(k - 1));

/** e^x = 2^n e^r, n the whole number nearest to x / ln 2, and of e^r the Taylor series, which 13 terms exhaust at r < 0.35. */
const exp = kernelOf({ row: "i32" }, { at: "i32", x: "v128", n: "v128", r: "v128" }, ({ row, at, x, n, r }) => {
  const here = i32.add(row.get, at.get);
  const nearest = f64x2.sub(n.get, f64x2.of(ROUND));
  const less = (from: Code, part: number): Code => f64x2.sub(from, f64x2.mul(nearest, f64x2.of(part)));
  let series = f64x2.of(1 / factorial(12));
  for (let k = 11; k >= 0; k--) series = f64x2.add(f64x2.of(1 / factorial(k)), f64x2.mul(r.get, series));
  return [
    repeat(
      [
        // Close to the bounds of what double precision holds.
        x.set(f64x2.smaller(f64x2.larger(f64x2.load(here), f64x2.of(-708)), f64x2.of(709))),
        n.set(f64x2.add(f64x2.mul(x.get, f64x2.of(Math.LOG2E)), f64x2.of(ROUND))),
        r.set(less(less(x.get, LN2[0]), LN2[1])),
        f64x2.store(here, f64x2.mul(series, f64x2.powerOfTwo(n.get))),
      ],
      i32.ltU(at.tee(i32.add(at.get, i32.of(PAIR))), i32.of(ROW)),
    ),
  ];
});

let compiled: WebAssembly.Module | undefined;

/** First byte after what the kernels themselves keep in the memory. */
export const KERNELS_END = 16 * Math.ceil((SCALE + TO_PIECES.byteLength) / 16);

/** The kernels over a memory. */
export function kernelsOver(memory: WebAssembly.Memory): Kernels {
  compiled ??= new WebAssembly.Module(moduleOf({ pass, again, mark, raise, draw, exp }));
  new Float64Array(memory.buffer, SCALE, TO_PIECES.length).set(TO_PIECES);
  return new WebAssembly.Instance(compiled, { engine: { memory } }).exports as unknown as Kernels;
}
