/** The shop and what stands in it. */
import { boards, type Colour, limewash, type Material, mix, type Scene, smooth, type Thing } from "./camera.ts";
import { aluminium, ash, brass, iron, leather, rubber, rust, steel } from "./metals.ts";
import { chance, grain } from "./noise.ts";
import {
  all,
  bar,
  box,
  gear,
  moved,
  type Point,
  pipe,
  place,
  ring,
  rod,
  rough,
  type Shape,
  turned,
  within,
  without,
} from "./shapes.ts";

const FLOOR: Thing = { shape: moved(box(30, 0.5, 30), [0, -0.5, 0]), of: boards(1.6, [0.15, 0.115, 0.08]) };

/** Figures as a stencil cuts them, in rows of three. */
const FIGURES = ["75557", "26227", "71747", "71717", "55711", "74717", "74757", "71122", "75757", "75717"];

/** True where a stencilled number has paint; u and v in its own squares from its lower left. */
function stencilled(number: number, u: number, v: number): boolean {
  const figures = String(number);
  const [at, row] = [Math.floor(u / 4), 4 - Math.floor(v)];
  const column = Math.floor(u) - at * 4;
  if (u < 0 || row < 0 || row > 4 || column > 2 || at >= figures.length) return false;
  return ((Number(FIGURES[Number(figures[at])]![row]) >> (2 - column)) & 1) === 1;
}

/** A wire wheel about the y axis. */
const wheel = (rim: number, spokes: number): Shape =>
  all(ring(rim, 0.075), rod(0.13, 0.3, 0.03), {
    ...rod(rim, 0.2),
    from: (x, y, z) => {
      const far = Math.sqrt(x * x + z * z);
      if (far > rim) return far - rim + 0.02;
      const pitch = (2 * Math.PI) / spokes;
      const angle = Math.atan2(z, x);
      const off = angle - pitch * Math.round(angle / pitch);
      const high = y - 0.16 * (1 - far / rim) * (Math.round(angle / pitch) % 2 === 0 ? 1 : -1);
      return Math.sqrt((off * far) ** 2 + high * high) * 0.7 - 0.009;
    },
  });
/** The eleven crates on the day on which they came. */
export function crates(): Scene {
  const crate = (to: Point, turn: number, number: number, size: Point = [1.15, 0.78, 0.8], open = false): Thing => {
    const [a, b, c] = size;
    const lie = place([to[0], to[1] + b, to[2]], { y: turn });
    const solid = box(a, b, c, 0.02);
    const slatted: Shape = {
      ...solid,
      radius: solid.radius + 0.1,
      from: (x, y, z) => {
        const d = solid.from(x, y, z);
        if (d > 0.3) return d - 0.06;
        const gap = Math.abs(y / 0.39 - Math.round(y / 0.39)) * 0.39;
        const battened = Math.max(Math.abs(Math.abs(x) - a + 0.16) - 0.11, Math.abs(y) - b, Math.abs(z) - c - 0.05);
        return Math.min((d + 0.05 * smooth(0.03, 0.012, gap)) * 0.8, battened);
      },
    };
    const shape = open ? without(slatted, moved(box(a - 0.08, b, c - 0.08), [0, 0.2, 0])) : slatted;
    const tint = 0.75 + 0.4 * chance(number, 8);
    return {
      shape: lie.put(shape),
      of: {
        dull: 0.95,
        skin: [0.006, 16],
        colour: (px, py, pz) => {
          const [x, y, z] = lie.inside(px, py, pz);
          const board = Math.round(y / 0.39 + 0.5);
          const lines = grain(x * 1.5 + number * 9, y * 14, z * 1.5 + board * 3, 4);
          const wood = (0.55 + 0.6 * lines) * (0.8 + 0.35 * chance(board, number)) * tint;
          const dirt = smooth(-b + 0.5, -b, y) * 0.4;
          const base: Colour = [0.36 * wood, 0.26 * wood, 0.165 * wood];
          const inked = z > c - 0.06 && stencilled(number, x * 11 + (number > 9 ? 3.5 : 1.5), y * 11 + 2.5);
          return mix(inked ? [0.03, 0.03, 0.03] : base, [0.07, 0.055, 0.04], dirt);
        },
      },
    };
  };
  const straw: Material = {
    dull: 1,
    skin: [0.1, 14],
    colour: (x, y, z) => mix([0.3, 0.22, 0.09], [0.55, 0.43, 0.2], grain(x * 9, y * 9, z * 30, 3)),
  };
  return {
    things: [
      FLOOR,
      { shape: moved(box(30, 9, 0.3), [0, 8, -1.9]), of: limewash },
      crate([-3.75, 0, -0.4], 3, 1),
      crate([-1.25, 0, -0.5], -2, 2),
      crate([1.2, 0, -0.4], 2, 4),
      crate([3.75, 0, -0.55], -4, 6),
      crate([-2.75, 1.58, -0.5], -3, 3),
      crate([-0.2, 1.58, -0.55], 4, 8),
      crate([2.55, 1.58, -0.5], -2, 5),
      crate([-1.4, 3.16, -0.55], 5, 10, [1.0, 0.6, 0.7]),
      crate([-3.1, 0, 2.0], 14, 7, [0.9, 0.6, 0.65]),
      crate([0.5, 0, 2.1], -9, 9, [1.15, 0.7, 0.75], true),
      crate([3.6, 0, 1.9], -16, 11, [1.0, 0.62, 0.7]),
      // The ninth is open: straw, and what lay uppermost.
      { shape: moved(rough(box(1.0, 0.4, 0.6, 0.2), 0.2, 4), [0.5, 0.85, 2.1], { y: -9 }), of: straw },
      { shape: moved(without(rod(0.42, 0.2, 0.04), rod(0.26, 1)), [0.15, 1.36, 2.1], { x: 35, z: 24 }), of: aluminium },
      {
        shape: moved(
          gear(0.34, 0.12, 0.08, 18, () => 1),
          [0.98, 1.4, 2.2],
          { x: 60, z: -20 },
        ),
        of: steel,
      },
      { shape: pipe(0.07, [0.4, 1.1, 2.0], [1.5, 1.7, 1.75], [2.0, 1.65, 1.7]), of: rust },
      { shape: moved(wheel(1.05, 18), [2.05, 1.08, 1.55], { x: 74, y: 8 }), of: rust },
      {
        shape: moved(box(1.12, 0.04, 0.75, 0.02), [-1.35, 0.66, 1.42], { x: 66, y: 7 }),
        of: { ...ash, colour: [0.22, 0.155, 0.095] },
      },
    ],
    eye: [1.6, 4.6, 11.8],
    at: [0.1, 1.6, 0],
    lens: 2.3,
    window: [-0.7, 0.62, 0.5],
    light: 0.95,
  };
}

/** The frame on trestles with its springs and axles, and the ash of the tail and the seat standing on it. */
export function chassis(): Scene {
  const both = (make: (side: 1 | -1) => Shape): Shape => all(make(1), make(-1));
  const plank = (from: Point, to: Point, high: number, wide: number): Shape => {
    const [dx, dy, dz] = [to[0] - from[0], to[1] - from[1], to[2] - from[2]];
    const long = Math.hypot(dx, dy, dz);
    const turn = { z: (Math.asin(dy / long) * 180) / Math.PI, y: (-Math.atan2(dz, dx) * 180) / Math.PI };
    const middle: Point = [(from[0] + to[0]) / 2, (from[1] + to[1]) / 2, (from[2] + to[2]) / 2];
    return moved(moved(box(long / 2, high, wide, 0.015), [0, 0, 0], { z: turn.z }), middle, { y: turn.y });
  };
  const rail = (high: number, wide: number, ...through: Point[]): Shape =>
    all(...through.slice(1).map((to, i) => plank(through[i]!, to, high, wide)));
  const frame = all(
    both((s) => rail(0.16, 0.075, [4.2, 1.55, 0.62 * s], [0.8, 1.55, 0.8 * s], [-3.4, 1.55, 0.8 * s])),
    ...[3.4, 1.2, -1.3, -3.2].map((x) => moved(box(0.09, 0.12, 0.76), [x, 1.55, 0])),
  );
  const leaves = (x: number, end: number, s: 1 | -1): Shape =>
    all(
      ...[0, 1, 2, 3, 4].map((i) => {
        const far = x + (end - x) * (1 - 0.17 * i);
        return rail(
          0.022,
          0.1,
          [x, 1.34 - 0.05 * i, 0.8 * s],
          [(x + far) / 2, 1.33 - 0.05 * i, 0.8 * s],
          [far, 1.22 - 0.042 * i, 0.8 * s],
        );
      }),
      moved(box(0.16, 0.2, 0.13), [x, 1.26, 0.8 * s]),
    );
  const trestle = (x: number): Shape =>
    all(
      moved(box(0.12, 0.11, 1.25), [x, 1.26, 0]),
      ...[-1, 1].flatMap((s) => [
        plank([x - 0.55, 0, 1.05 * s], [x, 1.2, 0.95 * s], 0.05, 0.09),
        plank([x + 0.55, 0, 1.05 * s], [x, 1.2, 0.95 * s], 0.05, 0.09),
        plank([x - 0.38, 0.42, 1.02 * s], [x + 0.38, 0.42, 1.02 * s], 0.07, 0.03),
      ]),
    );
  const body = all(
    // The bearers, the rails that meet at the stern, and what stands between them.
    both((s) =>
      rail(0.05, 0.06, [1.1, 1.78, 0.74 * s], [-1.6, 1.78, 0.78 * s], [-2.8, 1.82, 0.5 * s], [-3.75, 1.95, 0]),
    ),
    both((s) =>
      rail(0.045, 0.045, [-0.5, 2.55, 0.86 * s], [-1.6, 2.6, 0.84 * s], [-2.7, 2.55, 0.55 * s], [-3.75, 2.35, 0]),
    ),
    both((s) =>
      rail(0.04, 0.04, [-0.5, 2.18, 0.83 * s], [-1.6, 2.2, 0.83 * s], [-2.8, 2.2, 0.53 * s], [-3.75, 2.16, 0]),
    ),
    both((s) => plank([-0.5, 1.8, 0.78 * s], [-0.5, 2.58, 0.87 * s], 0.05, 0.05)),
    both((s) => plank([-1.6, 1.8, 0.79 * s], [-1.62, 2.62, 0.85 * s], 0.05, 0.05)),
    both((s) => plank([-2.7, 1.8, 0.53 * s], [-2.7, 2.57, 0.56 * s], 0.045, 0.045)),
    moved(box(0.05, 0.34, 0.05), [-3.75, 2.12, 0]),
    moved(box(0.05, 0.05, 0.86), [-1.62, 2.62, 0]),
    moved(box(0.045, 0.045, 0.56), [-2.7, 2.57, 0]),
    // The seat riser.
    moved(box(0.05, 0.17, 0.76), [0.2, 1.98, 0]),
    moved(box(0.05, 0.05, 0.76), [-1.0, 2.12, 0]),
    ...[-0.45, 0, 0.45].map((z) => moved(box(0.62, 0.03, 0.1), [-0.4, 2.18, z])),
  );
  const cramp = (x: number, z: number): Shape =>
    all(
      pipe(0.035, [x, 2.72, z], [x, 2.72, z + 0.22], [x, 2.42, z + 0.22], [x, 2.42, z]),
      bar([x, 2.3, z], [x, 2.52, z], 0.025),
    );
  return {
    things: [
      FLOOR,
      { shape: moved(box(30, 9, 0.3), [0, 8, -3.6]), of: limewash },
      {
        shape: frame,
        of: {
          ...ash,
          colour: (x, y, z) => mix([0.17, 0.125, 0.08], [0.33, 0.25, 0.16], grain(x * 1.5, y * 12, z * 12, 4)),
        },
      },
      {
        shape: both((s) => moved(box(1.3, 0.13, 0.012, 0.004), [-1.2, 1.55, 0.885 * s])),
        of: { ...iron, colour: [0.16, 0.13, 0.11] },
      },
      {
        shape: all(...([1, -1] as const).flatMap((s) => [leaves(2.55, 3.9, s), leaves(-2.1, -3.45, s)])),
        of: { ...iron, colour: [0.1, 0.105, 0.11] },
      },
      {
        shape: all(
          bar([3.9, 1.16, -1.35], [3.9, 1.16, 1.35], 0.1),
          bar([-3.45, 1.16, -1.35], [-3.45, 1.16, 1.35], 0.13),
          ...[-1.42, 1.42].map((z) => moved(rod(0.1, 0.3), [3.9, 1.16, z])),
          ...[-1.5, 1.5].map((z) => moved(rod(0.09, 0.18), [-3.45, 1.16, z], { x: 90 })),
          ...[-1.62, 1.62].map((z) => moved(rod(0.16, 0.14, 0.04), [3.9, 1.16, z], { x: 90 })),
        ),
        of: { ...steel, dull: 0.5, colour: [0.3, 0.3, 0.31] },
      },
      {
        shape: all(trestle(1.9), trestle(-2.6)),
        of: { ...ash, colour: (x, y, z) => mix([0.13, 0.1, 0.07], [0.27, 0.21, 0.14], grain(x * 6, y * 3, z * 9, 4)) },
      },
      { shape: body, of: ash },
      { shape: all(cramp(-1.6, 0.82), cramp(-2.68, 0.5)), of: iron },
      // The bench behind, with what waits on it.
      {
        shape: all(
          moved(box(3.2, 0.1, 0.55), [2.9, 1.7, -2.9]),
          ...[0.2, 5.6].map((x) => moved(box(0.14, 0.85, 0.4), [x, 0.8, -2.9])),
        ),
        of: { ...ash, colour: [0.16, 0.11, 0.07] },
      },
      { shape: moved(without(rod(0.42, 0.35, 0.05), moved(rod(0.36, 0.5), [0, 0.2, 0])), [1.2, 2.12, -2.8]), of: iron },
      { shape: moved(wheel(0.95, 18), [4.3, 2.75, -3.1], { x: 82 }), of: rust },
      // Ash that waits for the scuttle, against the wall.
      ...[0, 1, 2, 3].map(
        (i): Thing => ({
          shape: plank([-4.3 + 0.33 * i, 0, -2.4], [-4.1 + 0.3 * i, 4.3 - 0.3 * i, -3.2], 0.1, 0.05),
          of: ash,
        }),
      ),
    ],
    eye: [3.4, 4.3, 9.6],
    at: [0.15, 1.55, 0],
    lens: 2.3,
    window: [-0.62, 0.6, 0.5],
    light: 0.95,
  };
}

/** The other car that is known, long ago, before a hedge. */
export function sister(): Scene {
  const paint: Material = { dull: 0.35, colour: [0.14, 0.15, 0.14] };
  const dark: Material = { dull: 0.7, colour: [0.05, 0.05, 0.05] };
  const hull: Shape = {
    ...moved(box(3.2, 0.8, 0.85), [-0.5, 1.5, 0]),
    from: (x, y, z) => {
      const behind = Math.max(0, -x - 0.9) / 2.4;
      const ahead = Math.max(0, x - 0.4) / 2.0;
      const wide = 0.78 * Math.sqrt(Math.max(0.002, 1 - behind * behind)) * (1 - 0.35 * ahead * ahead);
      const top =
        x > 0.35 ? 1.98 + 0.18 * smooth(0.3, 0.75, x) - 0.1 * ahead : x > -1 ? 1.78 : 1.95 - 0.35 * behind * behind;
      const low = 1.02 + 0.5 * behind * behind;
      const d = Math.max(Math.abs(z) - wide, y - top, low - y, -3.25 - x, x - 2.25);
      return d * 0.55;
    },
  };
  const wheels = ([2.55, -2.35] as const).flatMap((x) => ([1.05, -1.05] as const).map((z) => ({ x, z })));
  const guard = (x: number, z: number): Shape =>
    moved(
      within(
        {
          ...rod(1.12, 0.16),
          from: (a, b, c) => Math.max(Math.abs(Math.sqrt(a * a + c * c) - 1.08) - 0.015, Math.abs(b) - 0.17),
        },
        (a, _b, c) => Math.max(-c - 0.15 + 0.2 * Math.abs(a), c < 0.2 && a > 0 ? 0.2 - c : -1),
      ),
      [x, 0.95, z],
      { x: -90 },
    );
  const barrel = turned((y) => (y < -0.3 ? 0.17 : Math.abs((y * 14) % 1) < 0.5 ? 0.27 : 0.19), 0.42, 0.28);
  const lamp = (x: number, y: number, z: number): Shape =>
    all(moved(rod(0.15, 0.14, 0.03), [x, y, z], { z: 90 }), moved(rod(0.07, 0.2), [x - 0.02, y + 0.16, z]));
  const leaf = (x: number, y: number, z: number): Colour => {
    const shade = 0.05 + 0.2 * grain(x * 3, y * 3, z * 3, 4) ** 1.5;
    return [shade, shade, shade];
  };
  return {
    things: [
      {
        shape: rough(moved(box(40, 0.5, 40), [0, -0.5, 0]), 0.05, 3),
        of: {
          dull: 1,
          skin: [0.03, 8],
          colour: (x, y, z) => {
            const s = 0.25 + 0.2 * grain(x * 0.8, y, z * 2.5, 4);
            return [s, s, s];
          },
        },
      },
      {
        shape: rough(rough(moved(box(40, 2.6, 1, 0.5), [0, 1.2, -4.4]), 0.9, 1.1), 0.3, 5),
        of: { dull: 1, skin: [0.07, 9], colour: leaf },
      },
      { shape: hull, of: paint },
      ...wheels.flatMap(({ x, z }): Thing[] => [
        { shape: moved(wheel(0.86, 20), [x, 0.95, z], { x: 90 }), of: { dull: 0.5, colour: [0.34, 0.34, 0.33] } },
        { shape: moved(ring(0.9, 0.085), [x, 0.95, z], { x: 90 }), of: rubber },
        { shape: guard(x, z), of: paint },
      ]),
      {
        shape: all(
          ...[2.55, -2.35].map((x) => bar([x, 0.95, -1.05], [x, 0.95, 1.05], 0.06)),
          ...([0.62, -0.62] as const).map((z) => bar([2.9, 1.05, z], [-2.8, 1.05, z], 0.09)),
        ),
        of: dark,
      },
      // The engine, out in front, with its two pipes to one can.
      { shape: moved(rod(0.4, 0.28, 0.05), [2.55, 1.2, 0.05], { x: 90 }), of: aluminium },
      { shape: moved(barrel, [2.85, 1.85, 0.05], { z: -25 }), of: iron },
      { shape: moved(barrel, [2.25, 1.85, 0.05], { z: 25 }), of: iron },
      {
        shape: all(
          pipe(0.06, [3.0, 2.05, 0.3], [2.8, 1.7, 0.8], [1.6, 1.1, 0.92], [0.9, 0.9, 0.92]),
          pipe(0.06, [2.1, 2.0, 0.3], [1.9, 1.6, 0.85], [1.3, 1.12, 0.92], [0.9, 0.95, 0.92]),
          moved(rod(0.17, 0.55, 0.05), [0.4, 0.92, 0.92], { z: 90 }),
        ),
        of: { ...steel, dull: 0.6 },
      },
      { shape: moved(box(0.16, 0.36, 0.66, 0.14), [-1.0, 2.12, 0], { z: 14 }), of: leather },
      {
        shape: all(
          moved(ring(0.34, 0.03), [0.05, 2.28, 0.25], { z: 55 }),
          bar([0.05, 2.28, 0.25], [0.9, 1.7, 0.25], 0.03),
        ),
        of: dark,
      },
      { shape: all(lamp(0.75, 2.2, 0.88), lamp(0.75, 2.2, -0.88), lamp(3.1, 1.55, 0.55)), of: brass },
      {
        shape: all(moved(box(0.02, 0.3, 0.6, 0.01), [0.72, 2.45, 0], { z: 15 })),
        of: { metal: 0.6, dull: 0.1, colour: [0.5, 0.5, 0.5] },
      },
      { shape: all(moved(box(0.95, 0.04, 0.2), [0.05, 0.85, 1.0])), of: dark },
      { shape: all(bar([-0.55, 1.5, 0.86], [-0.2, 2.15, 0.9], 0.03)), of: dark },
    ],
    eye: [2.6, 2.9, 10.5],
    at: [0.1, 1.45, 0],
    lens: 2.5,
    window: [-0.4, 0.75, 0.6],
    light: 1.1,
    room: 1.5,
  };
}
