/** What old parts are made of. */
import { type Material, mix, smooth } from "./camera.ts";
import { grain } from "./noise.ts";

/** Aluminium as it left the sand, greyed and oiled in its hollows. */
export const aluminium: Material = {
  metal: 0.55,
  dull: 0.75,
  skin: [0.012, 16],
  colour: (x, y, z) => {
    const dirt = smooth(0.42, 0.68, grain(x * 2.2, y * 2.2, z * 2.2, 4));
    return mix([0.44, 0.44, 0.43], [0.13, 0.11, 0.085], dirt * 0.85);
  },
};

/** Where it broke: bright and crystalline. */
export const brightBreak: Material = { metal: 0.5, dull: 0.9, skin: [0.05, 26], colour: [0.8, 0.8, 0.8] };

export const steel: Material = {
  metal: 0.85,
  dull: 0.38,
  skin: [0.004, 20],
  colour: (x, y, z) => {
    const stain = smooth(0.45, 0.72, grain(x * 3, y * 3, z * 3, 4));
    return mix([0.4, 0.4, 0.42], [0.15, 0.105, 0.075], stain * 0.85);
  },
};

export const rust: Material = {
  dull: 1,
  skin: [0.02, 22],
  colour: (x, y, z) => mix([0.17, 0.075, 0.04], [0.32, 0.16, 0.08], grain(x * 6, y * 6, z * 6, 4)),
};

export const iron: Material = { metal: 0.35, dull: 0.8, skin: [0.012, 18], colour: [0.12, 0.12, 0.125] };

export const brass: Material = {
  metal: 0.95,
  dull: 0.14,
  skin: [0.0012, 6],
  colour: (x, y, z) => {
    const tarnish = smooth(0.44, 0.7, grain(x * 2.4 + 5, y * 2.4, z * 2.4, 4));
    return mix([0.66, 0.46, 0.2], [0.2, 0.125, 0.06], tarnish * 0.85);
  },
};

export const bronze: Material = {
  metal: 0.75,
  dull: 0.45,
  skin: [0.006, 14],
  colour: (x, y, z) => {
    const tarnish = smooth(0.4, 0.7, grain(x * 2.7, y * 2.7, z * 2.7 + 4, 4));
    return mix([0.5, 0.34, 0.18], [0.16, 0.115, 0.07], tarnish * 0.85);
  },
};

export const leather: Material = { dull: 0.7, skin: [0.008, 18], colour: [0.09, 0.05, 0.03] };
export const rubber: Material = { dull: 0.8, skin: [0.004, 20], colour: [0.06, 0.06, 0.06] };

/** Ash as it comes from the plane. */
export const ash: Material = {
  dull: 0.8,
  skin: [0.003, 20],
  colour: (x, y, z) => {
    const lines = grain(x * 2, y * 14, z * 14, 4);
    return mix([0.5, 0.37, 0.22], [0.7, 0.56, 0.37], lines);
  },
};

/** Paint that has been on for long, chipped to the wood or metal beneath. */
export const oldPaint = (red: number, green: number, blue: number): Material => ({
  dull: 0.6,
  skin: [0.006, 14],
  colour: (x, y, z) => {
    const chip = smooth(0.62, 0.66, grain(x * 3, y * 3, z * 3, 4));
    return mix([red, green, blue], [0.2, 0.13, 0.08], chip);
  },
});
