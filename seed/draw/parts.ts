/** Parts on the bench. */
import { boards, type Material, mix, type Scene, smooth, type Thing } from "./camera.ts";
import { aluminium, brass, bronze, iron, leather, oldPaint, steel } from "./metals.ts";
import { grain, noise } from "./noise.ts";
import {
  all,
  ball,
  bar,
  box,
  cast,
  chip,
  gear,
  moved,
  type Point,
  pipe,
  place,
  ragged,
  ring,
  rod,
  rough,
  type Shape,
  type Turn,
  turned,
  within,
  without,
} from "./shapes.ts";

const BENCH: Thing = { shape: moved(box(14, 0.5, 14), [0, -0.5, 0]), of: boards(1.15) };

/** A steel rule that lies beside what is photographed, marked along its edge: its own size says how large that is. */
function rule([x, z]: readonly [number, number], turn: number, long = 1.5): Thing {
  const lie = place([x, 0.02, z], { y: turn });
  return {
    shape: lie.put(box(long, 0.015, 0.13, 0.005)),
    of: {
      metal: 0.5,
      dull: 0.5,
      colour: (px, py, pz) => {
        const [a, , c] = lie.inside(px, py, pz);
        const at = (a / long) * 6;
        const far = (n: number) => Math.abs(at * n - Math.round(at * n)) / n;
        const mark = (far(1) < 0.025 && c > -0.02) || (far(2) < 0.02 && c > 0.05) || (far(8) < 0.015 && c > 0.08);
        return mark ? [0.05, 0.05, 0.05] : [0.62, 0.62, 0.6];
      },
    },
  };
}

/** The two-speed casing, in the pieces in which it came. */
export function casing(): Scene {
  const flange = moved(box(1.68, 0.07, 1.16, 0.04), [0, 0.48, 0]);
  const boss = (x: number, z: number, radius: number) => moved(rod(radius, 0.22, 0.04), [x, 0.5, z], { z: 90 });
  const bore = (x: number, z: number, radius: number) => moved(rod(radius, 0.5), [x, 0.5, z], { z: 90 });
  const lugs = ([-1.6, 1.6] as const).flatMap((x) => ([-0.95, 0.95] as const).map((z) => [x, z] as const));
  const bolts = [
    ...lugs.map(([x, z]) => [x * 0.97, z * 1.1] as const),
    [-0.55, 1.05],
    [0.55, 1.05],
    [-0.55, -1.05],
    [0.55, -1.05],
  ] as const;
  const solid = cast(
    0.12,
    box(1.5, 0.55, 1, 0.2),
    flange,
    boss(-1.5, 0.35, 0.46),
    boss(1.5, 0.35, 0.46),
    boss(-1.5, -0.52, 0.34),
    boss(1.5, -0.52, 0.34),
    ...[-0.7, 0, 0.7].map((x) => moved(box(0.05, 0.5, 1.07, 0.03), [x, 0, 0])),
  );
  const whole = without(
    within(solid, (_x, y) => y - 0.55),
    moved(box(1.36, 0.6, 0.86, 0.16), [0, 0.2, 0]),
    ...[bore(-1.5, 0.35, 0.3), bore(1.5, 0.35, 0.3), bore(-1.5, -0.52, 0.2), bore(1.5, -0.52, 0.2)],
    ...bolts.map(([x, z]) => moved(rod(0.055, 0.3), [x, 0.5, z])),
  );
  const crack = (x: number, y: number, z: number) =>
    (x * 0.8 + z * 0.55 - 0.25 + 0.5 * (grain(x * 1.6 + 3, y * 1.6, z * 1.6, 4) - 0.5)) * 0.7;
  const lost: readonly (readonly [Point, number])[] = [
    [[0.9, 0.3, 1], 0.5],
    [[1.5, 0.4, 0.35], 0.5],
    [[-0.5, 0.4, -1], 0.42],
  ];
  const gone = (x: number, y: number, z: number) =>
    Math.min(...lost.map(([[a, b, c], radius]) => ragged(radius)(x - a, y - b, z - c)));
  const left = within(within(whole, crack), (x, y, z) => -gone(x, y, z));
  const right = within(
    within(whole, (x, y, z) => -crack(x, y, z)),
    (x, y, z) => -gone(x, y, z),
  );
  const edge = (x: number, y: number, z: number) => Math.min(Math.abs(crack(x, y, z)), Math.abs(gone(x, y, z)));
  const piece = (of: Shape, to: Point, by: Turn, broken: (x: number, y: number, z: number) => number): Thing => {
    const lie = place(to, by);
    const skin = aluminium.colour as Exclude<Material["colour"], readonly number[]>;
    return {
      shape: lie.put(of),
      of: {
        ...aluminium,
        colour: (x, y, z) => {
          const local = lie.inside(x, y, z);
          return mix([0.95, 0.95, 0.93], skin(...local), smooth(0.004, 0.014, broken(...local)));
        },
      },
    };
  };
  const chips = (
    [
      [[0.9, 0.3, 1], 0.42, [0.2, 0.24, 2.1], { x: 60, y: 40 }],
      [[1.5, 0.4, 0.35], 0.46, [2.35, 0.28, 1.55], { y: -50, z: 80 }],
      [[-0.5, 0.4, -1], 0.36, [-1.4, 0.14, 1.95], { x: -75, y: 20 }],
      [[-1.5, 0.4, -0.5], 0.3, [1.25, 0.1, 2.35], { x: 90, y: 70 }],
      [[0, 0.48, 1.05], 0.26, [-0.5, 0.06, 2.5], { y: 30 }],
      [[1.4, 0, -0.9], 0.28, [3.0, 0.12, 0.5], { x: 40, y: 200 }],
      [[-1.2, 0.48, 1.05], 0.24, [-2.3, 0.06, 1.5], { y: 110 }],
    ] as const
  ).map(([from, radius, to, by]) =>
    piece(chip(whole, from, radius), to, by, (x, y, z) => Math.abs(ragged(radius)(x, y, z))),
  );
  return {
    things: [
      BENCH,
      piece(left, [-0.55, 0.57, -0.3], { y: 14 }, edge),
      piece(right, [0.35, 0.6, -0.25], { y: 4, z: -5 }, edge),
      ...chips,
      rule([0.4, 3.05], -4, 1.6),
    ],
    eye: [0.4, 6.2, 6.4],
    at: [0.25, 0.1, 0.72],
    lens: 2.5,
    window: [-0.75, 0.62, -0.1],
    light: 1.05,
  };
}

/** The gear set: four teeth are left on second. */
export function gears(): Scene {
  const chewed = (from: number, left: number) => (tooth: number) =>
    tooth >= from && tooth < from + left ? 1 : 0.1 + 0.35 * noise(tooth * 3.3, from, 0.5);
  const wheel = (radius: number, count: number, teeth: (tooth: number) => number): Shape =>
    all(
      without(
        gear(radius, 0.2, 0.17, count, teeth),
        moved(without(rod(radius * 0.78, 0.12, 0.03), rod(radius * 0.42, 0.4, 0.03)), [0, 0.2, 0]),
        rod(radius * 0.24, 1),
        moved(box(0.07, 0.6, radius * 0.32), [0, 0, radius * 0.1]),
        ...[0, 1, 2, 3, 4].map((i) =>
          moved(rod(radius * 0.12, 1), [radius * 0.6 * Math.cos(i * 1.257), 0, radius * 0.6 * Math.sin(i * 1.257)]),
        ),
      ),
    );
  const oily: Material = { ...steel, dull: 0.34 };
  const worn = (tooth: number) => 0.75 + 0.25 * noise(tooth * 2.1, 1, 0);
  const cluster = all(
    gear(0.42, 0.22, 0.14, 13, worn),
    moved(gear(0.62, 0.2, 0.14, 19, chewed(11, 6)), [0, 0.62, 0]),
    moved(rod(0.26, 1.5, 0.03), [0, 0.2, 0]),
    moved(rod(0.16, 2.2, 0.03), [0, 0.2, 0]),
  );
  return {
    things: [
      BENCH,
      { shape: moved(wheel(1.25, 34, chewed(22, 4)), [-1.25, 0.22, 0.25], { y: 25 }), of: oily },
      { shape: moved(wheel(0.85, 24, worn), [1.55, 0.22, 1.25], { y: 70 }), of: oily },
      { shape: moved(cluster, [0.75, 0.72, -1.1], { z: 90, y: 22 }), of: oily },
      { shape: moved(wheel(0.6, 17, chewed(3, 9)), [0.35, 0.22, 1.75], { y: 10 }), of: oily },
      // What is left of the teeth that came off lies beside it.
      ...[0, 1, 2, 3, 4, 5, 6].map((i) => ({
        shape: moved(
          rough(box(0.09, 0.07, 0.17, 0.03), 0.04, 11),
          [-0.75 + 0.27 * i - 0.5 * noise(i, 4, 0), 0.07, 2.05 + 0.55 * noise(i * 2.7, 1, 0)],
          { y: 47 * i },
        ),
        of: steel,
      })),
      rule([-0.4, 2.75], 3),
    ],
    eye: [0.3, 5.4, 6.3],
    at: [0.05, 0.1, 0.7],
    lens: 2.4,
    window: [-0.6, 0.55, -0.45],
  };
}

/** The carburettor that was sent back: a barrel across, its float chamber hung below, and the crack under the float boss. */
export function carburettor(): Scene {
  const knurl = (radius: number, half: number) => gear(radius, half, 0.025, 40, () => 1);
  const lie = place([0, 1.72, 0], { y: -24 });
  const along = (shape: Shape, x: number) => moved(shape, [x, 0, 0], { z: 90 });
  const body = cast(
    0.14,
    along(rod(0.52, 1.05, 0.05), 0),
    along(rod(0.62, 0.1, 0.04), -1.05),
    moved(rod(0.34, 0.5, 0.05), [0.1, -0.5, 0]),
    moved(rod(0.6, 0.16, 0.06), [0.1, -0.82, 0]),
    moved(box(0.3, 0.14, 0.3, 0.05), [0.62, -0.52, 0.1]),
    moved(rod(0.3, 0.32, 0.04), [0.1, 0.52, 0]),
  );
  const hollow = without(body, along(rod(0.4, 1.6), 0), along(rod(0.46, 0.16, 0.02), 1.15));
  const flange = without(
    cast(0.1, along(rod(0.6, 0.09, 0.03), -1.2), moved(box(0.09, 0.3, 0.98, 0.05), [-1.2, 0, 0])),
    along(rod(0.4, 0.5), -1.2),
    moved(rod(0.1, 0.5), [-1.2, 0, 0.78], { z: 90 }),
    moved(rod(0.1, 0.5), [-1.2, 0, -0.78], { z: 90 }),
  );
  const crackAt = (x: number, y: number, z: number) =>
    Math.abs(y + 0.6 + 0.16 * Math.sin(x * 4 + 1) + 0.2 * (noise(x * 7, 3, z * 7) - 0.5));
  const skin = bronze.colour as Exclude<Material["colour"], readonly number[]>;
  const cracked: Material = {
    ...bronze,
    colour: (x, y, z) => {
      const [a, b, c] = lie.inside(x, y, z);
      const near = c > 0 && a > -0.28 && a < 0.72 ? crackAt(a, b, c) : 1;
      // Where it was filled and painted over, the paint has come away along the crack.
      const painted = c > 0 && Math.hypot(a - 0.22, (b + 0.58) * 1.5) < 0.46 + 0.2 * noise(a * 6, b * 6, 2) ? 1 : 0;
      const own = mix(skin(a, b, c), [0.3, 0.29, 0.26], painted * 0.85);
      return mix([0.012, 0.01, 0.01], own, smooth(0.012, 0.035, near));
    },
  };
  const put = (shape: Shape, of: Material): Thing => ({ shape: lie.put(shape), of });
  return {
    things: [
      BENCH,
      { shape: moved(box(14, 5, 0.2), [0, 2, -5]), of: { dull: 1, colour: [0.12, 0.12, 0.11] } },
      put(all(hollow, flange), cracked),
      put(
        moved(
          turned((y) => 0.66 - 0.05 * smooth(-0.2, -0.42, y) - (Math.abs(y - 0.2) < 0.03 ? -0.04 : 0), 0.44, 0.75),
          [0.1, -1.27, 0],
        ),
        brass,
      ),
      put(moved(knurl(0.3, 0.12), [0.1, 0.9, 0]), brass),
      put(moved(rod(0.08, 0.3), [0.1, 1.1, 0]), brass),
      put(moved(knurl(0.16, 0.09), [0.1, 1.34, 0]), brass),
      put(moved(rod(0.17, 0.12, 0.02), [0.98, -0.52, 0.1], { z: 90 }), brass),
      put(
        moved(
          gear(0.2, 0.11, 0.05, 6, () => 1),
          [1.12, -0.52, 0.1],
          { z: 90 },
        ),
        brass,
      ),
      put(pipe(0.075, [1.2, -0.52, 0.1], [1.6, -0.6, 0.15], [1.85, -1.1, 0.3], [1.9, -1.6, 0.5]), {
        ...bronze,
        dull: 0.3,
      }),
      put(
        all(
          bar([0.45, 0.2, 0.56], [0.75, 0.85, 0.6], 0.06),
          moved(ball(0.12), [0.75, 0.85, 0.6]),
          moved(rod(0.14, 0.06), [0.45, 0.2, 0.55], { x: 90 }),
        ),
        steel,
      ),
      {
        shape: moved(rough(box(1.7, 0.03, 1.2, 0.02), 0.05, 3), [0.1, 0.0, 0.2], { y: 12 }),
        of: { ...leather, colour: [0.3, 0.27, 0.2] },
      },
    ],
    eye: [1.5, 3.2, 6.6],
    at: [0.12, 1.38, 0],
    lens: 2.6,
    window: [-0.6, 0.55, 0.6],
  };
}

/** The drive-side lug of the crankcase under the dye: the crack runs from its bolt hole towards the main bearing. */
export function lug(): Scene {
  const lie = place([0, 0.62, 0], { y: 14 });
  const half = without(
    cast(
      0.22,
      moved(rod(2.3, 0.55, 0.12), [-1.9, 0, -1.7]),
      moved(rod(0.85, 0.85, 0.06), [-1.9, 0.05, -1.7]),
      moved(box(1.5, 0.36, 0.42, 0.1), [0.75, -0.12, 0.35], { y: -28 }),
      moved(rod(0.62, 0.44, 0.05), [1.9, -0.1, 1]),
      ...[35, 75, 115, -5].map((turn) =>
        moved(
          box(0.75, 0.12, 0.07, 0.05),
          [-1.9 + 1.4 * Math.cos((turn * Math.PI) / 180), 0.55, -1.7 + 1.4 * Math.sin((turn * Math.PI) / 180)],
          { y: -turn },
        ),
      ),
      ...[20, 62, 100].map((turn) =>
        moved(rod(0.2, 0.6, 0.04), [
          -1.9 + 2.25 * Math.cos((turn * Math.PI) / 180),
          0,
          -1.7 + 2.25 * Math.sin((turn * Math.PI) / 180),
        ]),
      ),
    ),
    moved(rod(0.6, 2), [-1.9, 0, -1.7]),
    moved(rod(0.27, 2), [1.9, 0, 1]),
    ...[20, 62, 100].map((turn) =>
      moved(rod(0.085, 2), [
        -1.9 + 2.25 * Math.cos((turn * Math.PI) / 180),
        0,
        -1.7 + 2.25 * Math.sin((turn * Math.PI) / 180),
      ]),
    ),
  );
  const skin = aluminium.colour as Exclude<Material["colour"], readonly number[]>;
  const dyed: Material = {
    ...aluminium,
    metal: 0.4,
    colour: (x, y, z) => {
      const [a, , c] = lie.inside(x, y, z);
      // Along the crack, and across it, from the edge of the bolt hole.
      const [u, v] = [-(a - 1.66) * 0.875 - (c - 0.87) * 0.485, -(a - 1.66) * 0.485 + (c - 0.87) * 0.875];
      const white = smooth(1.15, 0.95, Math.hypot(u * 0.72 - 0.5, v * 1.4) + 0.45 * (grain(a * 2, 1, c * 2, 3) - 0.5));
      const line = Math.abs(v - 0.12 * Math.sin(u * 3.2) - 0.14 * (noise(u * 5, 7, 0) - 0.5));
      const red = u > -0.06 && u < 1.45 ? smooth(0.055 - 0.02 * u, 0.012, line) + 0.35 * smooth(0.2, 0.0, line) : 0;
      const own = mix(skin(a, y, c), [0.82, 0.8, 0.77], white * 0.85);
      return mix(own, [0.5, 0.015, 0.04], Math.min(1, red) * Math.max(white, 0.4));
    },
  };
  return {
    things: [BENCH, { shape: lie.put(half), of: dyed }, rule([-0.6, 2.3], 12, 1.3)],
    eye: [1.3, 6.2, 5.2],
    at: [0.2, 0.2, 0.3],
    lens: 2.45,
    window: [-0.7, 0.6, -0.25],
    light: 0.95,
  };
}

/** The two side lamps; the nearer one is dented at the rim. */
export function lamps(): Scene {
  const glass: Material = { metal: 0.85, dull: 0.06, colour: [0.2, 0.23, 0.23] };
  const lamp = (to: Point, turn: number, dented: boolean): Thing[] => {
    const lie = place(to, { y: turn });
    const put = (shape: Shape, of: Material): Thing => ({ shape: lie.put(shape), of });
    const front = (shape: Shape, out: number, y = 0) => moved(shape, [0, y, out], { x: 90 });
    const rim = front(without(rod(0.62, 0.13, 0.05), rod(0.5, 1)), 0.62);
    const bent = (of: Shape): Shape => ({
      ...of,
      from: (x, y, z) => {
        const push = dented ? 0.2 * Math.exp(-(((x - 0.42) / 0.2) ** 2) - ((y - 0.4) / 0.22) ** 2) : 0;
        return of.from(x + push, y + push * 1.1, z + push * 1.4) * 0.75;
      },
    });
    const drum = turned(
      (y) => 0.5 + 0.05 * smooth(0.3, 0.6, Math.abs(y)) - (Math.abs(Math.abs(y) - 0.5) < 0.025 ? -0.035 : 0),
      0.62,
      0.62,
    );
    const chimney = turned(
      (y) => (y < -0.1 ? 0.3 : y < 0.12 ? 0.2 : y < 0.2 ? 0.36 : 0.36 - 0.9 * (y - 0.2)),
      0.5,
      0.4,
    );
    return [
      put(all(drum, moved(rod(0.4, 0.16, 0.05), [0, -0.74, 0]), moved(rod(0.15, 0.1, 0.02), [0, -0.95, 0])), brass),
      put(moved(chimney, [0, 1.0, 0]), brass),
      put(moved(ring(0.14, 0.035), [0, 1.6, 0], { x: 90 }), brass),
      put(bent(rim), brass),
      put(front(rod(0.52, 0.4, 0.02), 0.3), brass),
      // The glass bulges; in the middle of it the lens is ground thicker.
      put(
        within(moved(ball(1.1), [0, 0, -0.36]), (x, y, z) => Math.max(Math.hypot(x, y) - 0.53, 0.5 - z)),
        glass,
      ),
      put(
        within(moved(ball(0.5), [0, 0, 0.36]), (x, y, z) => Math.max(Math.hypot(x, y) - 0.3, 0.6 - z)),
        glass,
      ),
      put(moved(rod(0.11, 0.05), [0.56, 0.05, 0.15], { z: 90 }), { metal: 0.8, dull: 0.1, colour: [0.4, 0.02, 0.02] }),
      put(
        all(
          pipe(0.06, [0, -0.75, -0.4], [0, -0.75, -0.85], [0, 0.2, -0.95]),
          moved(box(0.16, 0.34, 0.04, 0.02), [0, 0.1, -0.98]),
        ),
        iron,
      ),
    ];
  };
  return {
    things: [
      BENCH,
      { shape: moved(box(14, 6, 0.3), [0, 3, -3.6]), of: oldPaint(0.09, 0.12, 0.1) },
      ...lamp([-1.05, 1.06, -0.3], 24, false),
      ...lamp([0.95, 1.06, 0.35], -12, true),
    ],
    eye: [0.5, 2.7, 7],
    at: [-0.02, 1.3, 0],
    lens: 3.1,
    window: [-0.55, 0.5, 0.66],
  };
}
