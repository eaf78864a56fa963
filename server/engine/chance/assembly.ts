/**
 * WebAssembly written as expressions: what a loop over many runs takes two or four numbers at a time with, which
 * TypeScript cannot say. Each function here gives the bytes of its instruction after those of its operands, so that
 * kernels nest as formulas do (WebAssembly Core Specification 2.0, chapter 5 and its index of instructions).
 */

/** Bytes of an expression or statement. */
export type Code = readonly number[];

export type Kind = "i32" | "f64" | "v128";
const KINDS: Record<Kind, number> = { i32: 0x7f, f64: 0x7c, v128: 0x7b };

/** A whole number, seven bits a byte, the least first (LEB128); `signed` as constants are. */
function leb(value: number, signed = false): number[] {
  const bytes: number[] = [];
  for (let left = signed ? value | 0 : value >>> 0; ; ) {
    const byte = left & 0x7f;
    left = signed ? left >> 7 : left >>> 7;
    if (left === (signed && byte & 0x40 ? -1 : 0)) return [...bytes, byte];
    bytes.push(byte | 0x80);
  }
}

const one =
  (...op: number[]) =>
  (a: Code): Code => [...a, ...op];
const two =
  (...op: number[]) =>
  (a: Code, b: Code): Code => [...a, ...b, ...op];
const simd = (op: number): number[] => [0xfd, ...leb(op)];
const load =
  (...op: number[]) =>
  (at: Code, offset = 0): Code => [...at, ...op, 0, ...leb(offset)];
const store =
  (...op: number[]) =>
  (at: Code, value: Code, offset = 0): Code => [...at, ...value, ...op, 0, ...leb(offset)];

export const i32 = {
  of: (value: number): Code => [0x41, ...leb(value, true)],
  load: load(0x28),
  store: store(0x36),
  add: two(0x6a),
  sub: two(0x6b),
  and: two(0x71),
  or: two(0x72),
  xor: two(0x73),
  shl: two(0x74),
  /** Shift to the right: of a signed number, and of plain bits. */
  shrS: two(0x75),
  shrU: two(0x76),
  rotl: two(0x77),
  clz: one(0x67),
  ltU: two(0x49),
  gtU: two(0x4b),
  /** Towards zero. */
  ofF64: one(0xfc, 2),
};

export const f64 = {
  of: (value: number): Code => [0x44, ...new Uint8Array(new Float64Array([value]).buffer)],
  load: load(0x2b),
  store: store(0x39),
  add: two(0xa0),
  sub: two(0xa1),
  mul: two(0xa2),
  ofI32: one(0xb7),
};

/** Two numbers of 64 bits side by side. */
export const f64x2 = {
  /** A constant, twice. */
  of: (value: number): Code => {
    const bytes = new Uint8Array(new Float64Array([value, value]).buffer);
    return [...simd(0x0c), ...bytes];
  },
  load: load(...simd(0x00)),
  /** One number, twice. */
  loadSplat: load(...simd(0x0a)),
  store: store(...simd(0x0b)),
  splat: one(...simd(0x14)),
  add: two(...simd(0xf0)),
  sub: two(...simd(0xf1)),
  /** a < b ? b : a, which unlike the larger by IEEE 754 is one instruction of the processor. */
  larger: two(...simd(0xf7)),
  smaller: two(...simd(0xf6)),
  mul: two(...simd(0xf2)),
  /** Two bits, the first number's lowest: 1 where it is not below the other. */
  atLeast: (a: Code, b: Code): Code => [...a, ...b, ...simd(0x4c), ...simd(0xc4)],
  /** 2^n, where the whole number n stands in the lowest bits: made the exponent, 1023 above it. */
  powerOfTwo: (n: Code): Code => [...n, ...i64x2Of(1023n), ...simd(0xce), ...i32.of(52), ...simd(0xcb)],
};

const i64x2Of = (value: bigint): Code => [...simd(0x0c), ...new Uint8Array(new BigInt64Array([value, value]).buffer)];

export interface Local {
  get: Code;
  set(value: Code): Code;
  /** Sets it, and is its value. */
  tee(value: Code): Code;
}

const localAt = (index: number): Local => ({
  get: [0x20, ...leb(index)],
  set: (value) => [...value, 0x21, ...leb(index)],
  tee: (value) => [...value, 0x22, ...leb(index)],
});

/** Does the body, and again as long as the condition holds. */
export const repeat = (body: readonly Code[], condition: Code): Code => [
  ...[0x03, 0x40],
  ...body.flat(),
  ...condition,
  ...[0x0d, 0, 0x0b],
];
export const when = (condition: Code, body: readonly Code[]): Code => [...condition, 0x04, 0x40, ...body.flat(), 0x0b];

export interface Kernel {
  takes: readonly Kind[];
  locals: readonly Kind[];
  gives: readonly Kind[];
  body: readonly Code[];
}

/**
 * A function over the memory.
 * @param takes its parameters, in order; @param locals what it needs besides, zero at first
 * @param gives kind of the value that the body leaves, if any
 */
export function kernelOf<T extends string, L extends string>(
  takes: Record<T, Kind>,
  locals: Record<L, Kind>,
  body: (local: Record<T | L, Local>) => readonly Code[],
  gives?: Kind,
): Kernel {
  const names = [...Object.keys(takes), ...Object.keys(locals)] as (T | L)[];
  const local = Object.fromEntries(names.map((name, i) => [name, localAt(i)])) as Record<T | L, Local>;
  return {
    takes: Object.values(takes),
    locals: Object.values(locals),
    gives: gives === undefined ? [] : [gives],
    body: body(local),
  };
}

/** The module of some kernels, exported by name; it takes its memory as `memory` of `engine`. */
export function moduleOf(kernels: Record<string, Kernel>): Uint8Array<ArrayBuffer> {
  const all = Object.entries(kernels);
  const many = (parts: readonly Code[]): number[] => [...leb(parts.length), ...parts.flat()];
  const sized = (bytes: Code): number[] => [...leb(bytes.length), ...bytes];
  const text = (name: string): number[] => sized(Array.from(name, (letter) => letter.charCodeAt(0)));
  const section = (id: number, parts: readonly Code[]): number[] => [id, ...sized(many(parts))];
  return new Uint8Array([
    ...[0x00, 0x61, 0x73, 0x6d, 1, 0, 0, 0],
    ...section(
      1,
      all.map(([, { takes, gives }]) => [
        0x60,
        ...many(takes.map((kind) => [KINDS[kind]])),
        ...many(gives.map((kind) => [KINDS[kind]])),
      ]),
    ),
    ...section(2, [[...text("engine"), ...text("memory"), 2, 0, 0]]),
    ...section(
      3,
      all.map((_, i) => leb(i)),
    ),
    ...section(
      7,
      all.map(([name], i) => [...text(name), 0, ...leb(i)]),
    ),
    ...section(
      10,
      all.map(([, { locals, body }]) => sized([...many(locals.map((kind) => [1, KINDS[kind]])), ...body.flat(), 0x0b])),
    ),
  ]);
}
