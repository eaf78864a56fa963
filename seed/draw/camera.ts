/** Takes a picture of solids: each ray is followed until it meets one, and what meets it is lit by a window, a dim room and its neighbours. */
import sharp, { type Sharp } from "sharp";
import { chance, grain, noise } from "./noise.ts";
import { nearest, type Point, type Shape } from "./shapes.ts";

export type Colour = readonly [number, number, number];

export interface Material {
  colour: Colour | ((x: number, y: number, z: number) => Colour);
  /** 0 for paint and wood, 1 for bare metal, which takes its light from what it mirrors. */
  metal?: number;
  /** 0 a mirror, 1 dull. */
  dull?: number;
  /** How deep its skin is pitted, and how many pits to the unit. */
  skin?: readonly [depth: number, scale: number];
}

export interface Thing {
  shape: Shape;
  of: Material;
}

export interface Scene {
  things: readonly Thing[];
  eye: Point;
  at: Point;
  /** Distance of the film, in half its width: the more, the narrower. */
  lens?: number;
  /** Towards the window. */
  window?: Point;
  /** How strong the window and the room are. */
  light?: number;
  room?: number;
}

const FAR = 40;

const unit = ([x, y, z]: Point): Point => {
  const long = Math.sqrt(x * x + y * y + z * z) || 1;
  return [x / long, y / long, z / long];
};
const cross = (a: Point, b: Point): Point => [
  a[1] * b[2] - a[2] * b[1],
  a[2] * b[0] - a[0] * b[2],
  a[0] * b[1] - a[1] * b[0],
];
const dot = (a: Point, b: Point): number => a[0] * b[0] + a[1] * b[1] + a[2] * b[2];
const clamp = (v: number): number => Math.min(1, Math.max(0, v));
export const smooth = (from: number, to: number, v: number): number => {
  const t = clamp((v - from) / (to - from));
  return t * t * (3 - 2 * t);
};
export const mix = (a: Colour, b: Colour, t: number): Colour => [
  a[0] + (b[0] - a[0]) * t,
  a[1] + (b[1] - a[1]) * t,
  a[2] + (b[2] - a[2]) * t,
];

/** What reaches the eye, as a picture of this size. */
export async function photograph(scene: Scene, width: number, height: number, fine = true): Promise<Sharp> {
  const { things, eye, at, lens = 2.2, light = 1, room = 1 } = scene;
  const window = unit(scene.window ?? [-0.55, 0.75, 0.45]);
  const shapes = things.map(({ shape }) => shape);
  const distance = (x: number, y: number, z: number) => nearest(shapes, x, y, z);
  const side = unit(cross(window, [0, 1, 0]));
  const above = cross(side, window);

  const met = ([x, y, z]: Point, [dx, dy, dz]: Point, far: number): number => {
    for (let t = 0.01, i = 0; i < 160 && t < far; i++) {
      const d = distance(x + dx * t, y + dy * t, z + dz * t);
      if (d < 0.0006 + 0.0003 * t) return t;
      t += d * 0.9;
    }
    return far;
  };
  /** What the room looks like from within, blurred as a dull skin blurs it. */
  const roomAlong = (d: Point, dull: number): Colour => {
    const [u, v, w] = [dot(d, side), dot(d, above), dot(d, window)];
    const soft = 0.03 + dull * 0.6;
    const pane = (c: number, half: number) => smooth(half + soft, half - soft, Math.abs(c));
    const bars = dull < 0.3 ? 0.35 + 0.65 * smooth(0, 0.05, Math.abs(u)) * smooth(0, 0.05, Math.abs(v - 0.08)) : 1;
    const glass = w > 0 ? pane(u, 0.42) * pane(v, 0.5) * bars * (3.4 / (1 + 3 * dull)) * light : 0;
    const sky = 0.5 + 0.5 * d[1];
    const other = smooth(0.5, 0.95, dot(d, [0.8, 0.25, 0.54])) * 0.5;
    const dim = (0.1 + 0.42 * sky * sky + other) * room;
    return [dim * 0.98 + glass, dim * 0.97 + glass * 0.99, dim + glass * 0.96];
  };
  const lit = (from: Point): number => {
    let clear = 1;
    for (let t = 0.03, i = 0; i < 40 && t < 6; i++) {
      const d = distance(from[0] + window[0] * t, from[1] + window[1] * t, from[2] + window[2] * t);
      clear = Math.min(clear, 0.5 + (0.5 * d) / (0.09 * t + 0.004));
      if (clear < 0.01) return 0;
      t += Math.max(0.015, d);
    }
    return clear * clear * (3 - 2 * clear);
  };
  const open = (p: Point, n: Point): number => {
    let hidden = 0;
    for (let i = 1, weight = 1; i <= 5; i++, weight *= 0.7) {
      const h = 0.03 + 0.07 * i * i * 0.35;
      hidden += weight * Math.max(0, h - distance(p[0] + n[0] * h, p[1] + n[1] * h, p[2] + n[2] * h)) * (1.1 / h) * 0.3;
    }
    return clamp(1 - hidden);
  };
  const at3 = (p: Point, d: Point, t: number): Point => [p[0] + d[0] * t, p[1] + d[1] * t, p[2] + d[2] * t];
  const thingAt = ([x, y, z]: Point): Thing => {
    let [best, found] = [1e9, things[0]!];
    for (const one of things) {
      const { middle, radius, from } = one.shape;
      if (Math.hypot(x - middle[0], y - middle[1], z - middle[2]) - radius > best) continue;
      const d = from(x, y, z);
      if (d < best) [best, found] = [d, one];
    }
    return found;
  };
  const normalAt = ([x, y, z]: Point, { shape, of }: Thing): Point => {
    const [depth, scale] = of.skin ?? [0, 1];
    const f = (a: number, b: number, c: number) =>
      shape.from(a, b, c) + (depth > 0 ? depth * grain(a * scale, b * scale, c * scale, 3) : 0);
    const e = 0.002;
    return unit([f(x + e, y, z) - f(x - e, y, z), f(x, y + e, z) - f(x, y - e, z), f(x, y, z + e) - f(x, y, z - e)]);
  };
  const colourOf = ({ colour }: Material, p: Point): Colour =>
    typeof colour === "function" ? colour(p[0], p[1], p[2]) : colour;

  const seen = (from: Point, d: Point): Colour => {
    const t = met(from, d, FAR);
    if (t >= FAR) return roomAlong(d, 1);
    const p = at3(from, d, t);
    const thing = thingAt(p);
    const n = normalAt(p, thing);
    const { metal = 0, dull = 0.8 } = thing.of;
    const own = colourOf(thing.of, p);
    const out = at3(p, n, 0.006);
    const space = open(out, n);
    const facing = Math.max(0, dot(n, window));
    const sun = facing > 0 ? facing * lit(out) : 0;
    const sky = (0.09 + 0.16 * (0.5 + 0.5 * n[1]) + 0.07 * Math.max(0, n[0])) * space * room;
    const under = 0.07 * Math.max(0, -n[1]) * space;
    const spread = (sun * 1.25 * light + sky + under) * (1 - 0.8 * metal);
    const back = dot(d, n);
    const r: Point = [d[0] - 2 * back * n[0], d[1] - 2 * back * n[1], d[2] - 2 * back * n[2]];
    let mirrored = roomAlong(r, dull);
    if (metal > 0 && dull < 0.5) {
      const far = met(out, r, 3);
      if (far < 3) {
        const q = at3(out, r, far);
        const other = thingAt(q);
        const lightThere = 0.22 + 0.5 * Math.max(0, dot(normalAt(q, other), window));
        const its = colourOf(other.of, q);
        mirrored = mix([its[0] * lightThere, its[1] * lightThere, its[2] * lightThere], mirrored, dull * 0.6);
      }
    }
    const grazing = (1 + back) ** 5;
    const shine = metal > 0 ? metal : (0.03 + 0.4 * clamp(grazing)) * (1 - dull);
    const dark = metal > 0 ? 0.35 + 0.65 * space : space;
    const part = (i: 0 | 1 | 2): number =>
      own[i] * spread + mirrored[i] * shine * dark * (metal > 0 ? own[i] + (1 - own[i]) * clamp(grazing) * 0.5 : 1);
    return [part(0), part(1), part(2)];
  };

  const ahead = unit([at[0] - eye[0], at[1] - eye[1], at[2] - eye[2]]);
  const right = unit(cross(ahead, [0, 1, 0]));
  const up = cross(right, ahead);
  /** Film holds so much light and no more: bright places run together softly. */
  const through = (column: number, row: number): Colour => {
    const u = (column / width) * 2 - 1;
    const v = (1 - (row / height) * 2) * (height / width);
    const [red, green, blue] = seen(
      eye,
      unit([
        right[0] * u + up[0] * v + ahead[0] * lens,
        right[1] * u + up[1] * v + ahead[1] * lens,
        right[2] * u + up[2] * v + ahead[2] * lens,
      ]),
    );
    return [1 - Math.exp(-1.35 * red), 1 - Math.exp(-1.35 * green), 1 - Math.exp(-1.35 * blue)];
  };
  const first = new Float64Array(width * height * 3);
  for (let row = 0, i = 0; row < height; row++)
    for (let column = 0; column < width; column++)
      for (const value of through(column + 0.5, row + 0.5)) first[i++] = value;
  /** How much a pixel differs from those beside it: at an edge it takes four rays, elsewhere one does. */
  const edge = (column: number, row: number): number => {
    let most = 0;
    for (const [x, y] of [
      [1, 0],
      [-1, 0],
      [0, 1],
      [0, -1],
    ] as const) {
      const [c, r] = [column + x, row + y];
      if (c < 0 || r < 0 || c >= width || r >= height) continue;
      for (let i = 0; i < 3; i++)
        most = Math.max(most, Math.abs(first[(r * width + c) * 3 + i]! - first[(row * width + column) * 3 + i]!));
    }
    return most;
  };
  const pixels = Buffer.alloc(width * height * 3);
  for (let row = 0; row < height; row++)
    for (let column = 0; column < width; column++) {
      const place = (row * width + column) * 3;
      const sum = [first[place]!, first[place + 1]!, first[place + 2]!];
      const more =
        fine && edge(column, row) > 0.045
          ? [
              [0.25, 0.2],
              [0.8, 0.25],
              [0.2, 0.75],
              [0.75, 0.8],
            ]
          : [];
      for (const [x, y] of more) {
        const further = through(column + x!, row + y!);
        for (let i = 0; i < 3; i++) sum[i]! += further[i]!;
      }
      const [x, y] = [(column / width) * 2 - 1, (row / height) * 2 - 1];
      const corner = 1 - 0.2 * (x * x + y * y);
      const speck = (chance(column, row, 5) - 0.5) * 0.012;
      for (let i = 0; i < 3; i++) {
        const value = clamp((sum[i]! / (1 + more.length)) * corner);
        pixels[place + i] = Math.round(255 * clamp(value ** (1 / 2.2) + speck));
      }
    }
  return sharp(pixels, { raw: { width, height, channels: 3 } });
}

/** Old boards side by side along x, so wide each, scrubbed and oily. */
export const boards = (wide: number, light: Colour = [0.2, 0.125, 0.07]): Material => ({
  dull: 0.85,
  colour: (x, y, z) => {
    const board = Math.floor(z / wide);
    const gap = smooth(0, 0.012, Math.abs(z - wide * Math.round(z / wide)));
    const lines = grain(x * 0.9 + board * 13, y * 2, z * 22 + 2.5 * noise(x * 0.8, board, 0), 4);
    const stain = smooth(0.5, 0.75, grain(x * 0.9, board * 0.3, z * 0.9 + 9, 3));
    const shade = (0.5 + 0.75 * lines) * (0.85 + 0.3 * chance(board, 3)) * (1 - 0.45 * stain) * (0.25 + 0.75 * gap);
    return [light[0] * shade, light[1] * shade, light[2] * shade];
  },
  skin: [0.004, 14],
});

/** A wall that was limewashed long ago. */
export const limewash: Material = {
  dull: 1,
  colour: (x, y, z) => {
    const shade = 0.3 + 0.22 * grain(x * 1.3, y * 1.3, z * 1.3, 4) - 0.1 * smooth(1.2, 0, y);
    return [shade, shade * 0.97, shade * 0.88];
  },
  skin: [0.02, 5],
};
