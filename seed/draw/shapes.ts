/** Solids as functions: how far a point is from the surface, negative inside. Each lies within a ball, so that far ones are left out. */
import { noise } from "./noise.ts";

export type Distance = (x: number, y: number, z: number) => number;
export type Point = readonly [number, number, number];

export interface Shape {
  readonly from: Distance;
  /** A ball that holds all of it. */
  readonly middle: Point;
  readonly radius: number;
}

/** Where only a bound is wanted: a point so far off is not asked about more exactly. */
const OFF = 0.12;

/** As Math.hypot, which is many times slower. */
const length = (x: number, y: number, z: number): number => Math.sqrt(x * x + y * y + z * z);

const shape = (from: Distance, radius: number, middle: Point = [0, 0, 0]): Shape => ({ from, middle, radius });

/** A box of these half sizes about the origin, its edges rounded. */
export function box(a: number, b: number, c: number, round = 0.02): Shape {
  return shape(
    (x, y, z) => {
      const dx = Math.abs(x) - a + round;
      const dy = Math.abs(y) - b + round;
      const dz = Math.abs(z) - c + round;
      const most = dx > dy ? Math.max(dx, dz) : Math.max(dy, dz);
      return length(Math.max(dx, 0), Math.max(dy, 0), Math.max(dz, 0)) + Math.min(most, 0) - round;
    },
    length(a, b, c),
  );
}

/** A cylinder about the y axis. */
export function rod(radius: number, half: number, round = 0.01): Shape {
  return shape(
    (x, y, z) => {
      const d = Math.sqrt(x * x + z * z) - radius + round;
      const e = Math.abs(y) - half + round;
      const most = Math.max(d, e);
      return Math.min(most, 0) + length(Math.max(d, 0), Math.max(e, 0), 0) - round;
    },
    Math.hypot(radius, half),
  );
}

/** A solid of revolution about the y axis: its outline as the radius at each height. */
export function turned(outline: (y: number) => number, half: number, widest: number): Shape {
  return shape(
    (x, y, z) => Math.max((Math.sqrt(x * x + z * z) - outline(y)) * 0.7, Math.abs(y) - half),
    Math.hypot(widest, half),
  );
}

/** A ring about the y axis. */
export const ring = (radius: number, thick: number): Shape =>
  shape((x, y, z) => length(Math.sqrt(x * x + z * z) - radius, y, 0) - thick, radius + thick);

export const ball = (radius: number): Shape => shape((x, y, z) => length(x, y, z) - radius, radius);

/** A round bar from one point to another. */
export function bar([ax, ay, az]: Point, [bx, by, bz]: Point, radius: number): Shape {
  const ux = bx - ax;
  const uy = by - ay;
  const uz = bz - az;
  const square = ux * ux + uy * uy + uz * uz;
  return shape(
    (x, y, z) => {
      const px = x - ax;
      const py = y - ay;
      const pz = z - az;
      const t = Math.min(1, Math.max(0, (px * ux + py * uy + pz * uz) / square));
      return length(px - ux * t, py - uy * t, pz - uz * t) - radius;
    },
    Math.sqrt(square) / 2 + radius,
    [(ax + bx) / 2, (ay + by) / 2, (az + bz) / 2],
  );
}

/** A row of bars, end to end. */
export const pipe = (radius: number, ...through: Point[]): Shape =>
  all(...through.slice(1).map((to, i) => bar(through[i]!, to, radius)));

/** A gear about the y axis; `teeth` says how much of each tooth is left, 0 to 1. */
export function gear(
  radius: number,
  half: number,
  depth: number,
  count: number,
  teeth: (tooth: number) => number,
): Shape {
  const pitch = (2 * Math.PI) / count;
  return shape(
    (x, y, z) => {
      const far = Math.sqrt(x * x + z * z);
      const rough = Math.max(far - radius - depth, Math.abs(y) - half) * 0.55;
      if (rough > OFF) return rough;
      const angle = Math.atan2(z, x) + Math.PI;
      const tooth = Math.floor(angle / pitch) % count;
      const off = Math.abs(angle / pitch - Math.floor(angle / pitch) - 0.5);
      const flank = Math.min(1, Math.max(0, (0.36 - off) / 0.14));
      return Math.max(far - radius - depth * flank * teeth(tooth), Math.abs(y) - half) * 0.55;
    },
    Math.hypot(radius + depth, half),
  );
}

export function all(...shapes: Shape[]): Shape {
  const [low, high] = [
    [1e9, 1e9, 1e9],
    [-1e9, -1e9, -1e9],
  ];
  for (const { middle, radius } of shapes)
    for (let i = 0; i < 3; i++) {
      low[i] = Math.min(low[i]!, middle[i]! - radius);
      high[i] = Math.max(high[i]!, middle[i]! + radius);
    }
  const middle = low.map((at, i) => (at + high[i]!) / 2) as unknown as Point;
  const radius = Math.max(
    ...shapes.map((one) => Math.hypot(...one.middle.map((at, i) => at - middle[i]!)) + one.radius),
  );
  return shape((x, y, z) => nearest(shapes, x, y, z), radius, middle);
}

/** Which of the shapes is nearest is not asked of those whose ball is farther off. */
export function nearest(shapes: readonly Shape[], x: number, y: number, z: number): number {
  let best = 1e9;
  for (let i = 0; i < shapes.length; i++) {
    const { from, middle, radius } = shapes[i]!;
    const dx = x - middle[0];
    const dy = y - middle[1];
    const dz = z - middle[2];
    const reach = best + radius;
    if (reach > 0 && dx * dx + dy * dy + dz * dz >= reach * reach) continue;
    const d = from(x, y, z);
    if (d < best) best = d;
  }
  return best;
}

export const without = (of: Shape, ...holes: Shape[]): Shape =>
  within(of, (x, y, z) => {
    let deepest = -1e9;
    for (let i = 0; i < holes.length; i++) {
      const { from, middle, radius } = holes[i]!;
      if (length(x - middle[0], y - middle[1], z - middle[2]) > radius) continue;
      deepest = Math.max(deepest, -from(x, y, z));
    }
    return deepest;
  });

/** What of it lies where another function is negative. */
export const within = (of: Shape, where: Distance): Shape => ({
  ...of,
  from: (x, y, z) => {
    const d = of.from(x, y, z);
    return d > OFF ? d : Math.max(d, where(x, y, z));
  },
});

/** Both, run together as a casting is. */
export function cast(thick: number, ...shapes: Shape[]): Shape {
  const whole = all(...shapes);
  return {
    ...whole,
    radius: whole.radius + thick,
    from: (x, y, z) => {
      let sum = 1e9;
      for (let i = 0; i < shapes.length; i++) {
        const { from, middle, radius } = shapes[i]!;
        const reach = sum + radius + thick;
        const dx = x - middle[0];
        const dy = y - middle[1];
        const dz = z - middle[2];
        if (reach > 0 && dx * dx + dy * dy + dz * dz >= reach * reach) continue;
        const d = from(x, y, z);
        const h = Math.max(thick - Math.abs(sum - d), 0) / thick;
        sum = Math.min(sum, d) - (h * h * thick) / 4;
      }
      return sum;
    },
  };
}

/** Its surface pushed in and out by so much. */
export const rough = (of: Shape, by: number, scale: number): Shape => ({
  ...of,
  radius: of.radius + by,
  from: (x, y, z) => {
    const d = of.from(x, y, z);
    return d > 4 * by ? d - by : (d + by * (noise(x * scale, y * scale, z * scale) - 0.5)) * 0.85;
  },
});

export type Turn = { x?: number; y?: number; z?: number };

/** Turned by degrees about x, then y, then z, and moved; `inside` tells of a point where it was before. */
export function place(
  to: Point,
  by: Turn = {},
): { put(of: Shape): Shape; inside(x: number, y: number, z: number): Point } {
  const [a, b, c] = [by.x ?? 0, by.y ?? 0, by.z ?? 0].map((turn) => (turn * Math.PI) / 180) as [number, number, number];
  const [sa, ca, sb, cb, sc, cc] = [Math.sin(a), Math.cos(a), Math.sin(b), Math.cos(b), Math.sin(c), Math.cos(c)];
  // Rows of Rz Ry Rx; its transpose leads back.
  const m = [
    [cc * cb, cc * sb * sa - sc * ca, cc * sb * ca + sc * sa],
    [sc * cb, sc * sb * sa + cc * ca, sc * sb * ca - cc * sa],
    [-sb, cb * sa, cb * ca],
  ] as const;
  const [[xx, xy, xz], [yx, yy, yz], [zx, zy, zz]] = m;
  const [tx, ty, tz] = to;
  const inside = (x: number, y: number, z: number): Point => {
    const p = x - tx;
    const q = y - ty;
    const r = z - tz;
    return [xx * p + yx * q + zx * r, xy * p + yy * q + zy * r, xz * p + yz * q + zz * r];
  };
  return {
    inside,
    put: ({ from, middle: [x, y, z], radius }) =>
      shape(
        (px, py, pz) => {
          const p = px - tx;
          const q = py - ty;
          const r = pz - tz;
          return from(xx * p + yx * q + zx * r, xy * p + yy * q + zy * r, xz * p + yz * q + zz * r);
        },
        radius,
        m.map((row, i) => row[0] * x + row[1] * y + row[2] * z + to[i]!) as unknown as Point,
      ),
  };
}

export const moved = (of: Shape, to: Point, by: Turn = {}): Shape => place(to, by).put(of);

/** What of a solid lies about a point, broken off along a rough edge, with that point as its origin. */
export function chip(of: Shape, [cx, cy, cz]: Point, radius: number): Shape {
  const about = ragged(radius);
  return shape((x, y, z) => {
    const d = about(x, y, z);
    return d > OFF ? d : Math.max(of.from(x + cx, y + cy, z + cz), d);
  }, radius * 1.5);
}

/** A ball with a broken edge. */
export const ragged =
  (radius: number): Distance =>
  (x, y, z) => {
    const far = Math.max(length(x, y, z), Math.abs(x) + 0.4 * Math.abs(z));
    if (far > radius * 2) return (far - radius * 1.25) * 0.6;
    return (far - radius * (0.75 + 0.5 * noise(x * 5, y * 5, z * 5))) * 0.6;
  };
