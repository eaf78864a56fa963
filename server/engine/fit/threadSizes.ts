/**
 * Sizes of the screw threads met on old machines: outside diameter, pitch and thread angle. Handbook figures, from memory
 * and compared with published charts; the standard named beside each family is what governs.
 */

export type ThreadFamily = "BSW" | "BSF" | "BA" | "BSC" | "UNC" | "UNF" | "M" | "MF";

export interface Thread {
  /** As it is written on a drawing. */
  name: string;
  family: ThreadFamily;
  /** Nominal outside diameter, mm. */
  diameter: number;
  /** mm */
  pitch: number;
  /** Threads per inch, where the standard counts them so; else null. */
  perInch: number | null;
  /** Angle between the flanks, degrees. */
  angle: number;
}

export const FAMILIES: Readonly<Record<ThreadFamily, { words: string; angle: number; source: string }>> = {
  BSW: { words: "British Standard Whitworth", angle: 55, source: "BS 84" },
  BSF: { words: "British Standard Fine", angle: 55, source: "BS 84" },
  BA: { words: "British Association", angle: 47.5, source: "BS 93" },
  BSC: { words: "British Standard Cycle", angle: 60, source: "BS 811" },
  UNC: { words: "Unified coarse", angle: 60, source: "ASME B1.1" },
  UNF: { words: "Unified fine", angle: 60, source: "ASME B1.1" },
  M: { words: "metric coarse", angle: 60, source: "ISO 261, ISO 262" },
  MF: { words: "metric fine", angle: 60, source: "ISO 261" },
};

const INCH = 25.4;

/** Sizes as "diameter-threads": fractions of an inch ("1/4-20", "1 1/8-7"), or gauge numbers ("#10-24"). */
function inchThreads(family: ThreadFamily, sizes: string): Thread[] {
  return sizes.split(", ").map((size) => {
    const [diameter = "", perInch = ""] = size.split("-");
    return {
      name: `${size} ${family}`,
      family,
      diameter: inches(diameter) * INCH,
      pitch: INCH / Number(perInch),
      perInch: Number(perInch),
      angle: FAMILIES[family].angle,
    };
  });
}

/** "1 1/8" or "3/4" as a number of inches; "#n" by the rule of the machine screw gauge, 0.060 + 0.013 n (ASME B1.1). */
function inches(text: string): number {
  if (text.startsWith("#")) return (60 + 13 * Number(text.slice(1))) / 1000;
  return text.split(" ").reduce((sum, piece) => {
    const [top = 0, bottom = 1] = piece.split("/").map(Number);
    return sum + top / bottom;
  }, 0);
}

/** Sizes as "diameter x pitch" in mm. */
function metricThreads(family: "M" | "MF", sizes: string): Thread[] {
  return sizes.split(", ").map((size) => {
    const [diameter = 0, pitch = 0] = size.split(" x ").map(Number);
    return { name: `M${size}`, family, diameter, pitch, perInch: null, angle: 60 };
  });
}

/** No. k of BS 93: pitch 0.9^k mm to two places, diameter 6 p^1.2 of the pitch before rounding, to two figures. */
function associationThread(k: number): Thread {
  const pitch = 0.9 ** k;
  const diameter = Number((6 * pitch ** 1.2).toPrecision(2));
  return { name: `${k} BA`, family: "BA", diameter, pitch: Number(pitch.toFixed(2)), perInch: null, angle: 47.5 };
}

export const THREADS: readonly Thread[] = [
  ...inchThreads(
    "BSW",
    "1/16-60, 3/32-48, 1/8-40, 5/32-32, 3/16-24, 7/32-24, 1/4-20, 5/16-18, 3/8-16, 7/16-14, 1/2-12, 9/16-12, 5/8-11, " +
      "11/16-11, 3/4-10, 7/8-9, 1-8, 1 1/8-7, 1 1/4-7, 1 3/8-6, 1 1/2-6, 1 3/4-5, 2-4.5",
  ),
  ...inchThreads(
    "BSF",
    "3/16-32, 7/32-28, 1/4-26, 9/32-26, 5/16-22, 3/8-20, 7/16-18, 1/2-16, 9/16-16, 5/8-14, 11/16-14, 3/4-12, 7/8-11, " +
      "1-10, 1 1/8-9, 1 1/4-9, 1 3/8-8, 1 1/2-8, 1 3/4-7, 2-7",
  ),
  ...Array.from({ length: 17 }, (_, k) => associationThread(k)),
  ...inchThreads(
    "BSC",
    "1/8-40, 5/32-32, 3/16-32, 7/32-26, 1/4-26, 9/32-26, 5/16-26, 3/8-26, 7/16-26, 1/2-26, 9/16-26, 5/8-26, 11/16-26, " +
      "3/4-26, 7/16-20, 1/2-20, 9/16-20, 5/8-20, 11/16-20, 3/4-20",
  ),
  ...inchThreads(
    "UNC",
    "#1-64, #2-56, #3-48, #4-40, #5-40, #6-32, #8-32, #10-24, #12-24, 1/4-20, 5/16-18, 3/8-16, 7/16-14, 1/2-13, " +
      "9/16-12, 5/8-11, 3/4-10, 7/8-9, 1-8, 1 1/8-7, 1 1/4-7, 1 3/8-6, 1 1/2-6, 1 3/4-5, 2-4.5",
  ),
  ...inchThreads(
    "UNF",
    "#0-80, #1-72, #2-64, #3-56, #4-48, #5-44, #6-40, #8-36, #10-32, #12-28, 1/4-28, 5/16-24, 3/8-24, 7/16-20, 1/2-20, " +
      "9/16-18, 5/8-18, 3/4-16, 7/8-14, 1-12, 1 1/8-12, 1 1/4-12, 1 3/8-12, 1 1/2-12",
  ),
  ...metricThreads(
    "M",
    "1 x 0.25, 1.2 x 0.25, 1.4 x 0.3, 1.6 x 0.35, 1.8 x 0.35, 2 x 0.4, 2.2 x 0.45, 2.5 x 0.45, 3 x 0.5, 3.5 x 0.6, 4 x 0.7, " +
      "5 x 0.8, 6 x 1, 7 x 1, 8 x 1.25, 10 x 1.5, 12 x 1.75, 14 x 2, 16 x 2, 18 x 2.5, 20 x 2.5, 22 x 2.5, 24 x 3, 27 x 3, " +
      "30 x 3.5, 33 x 3.5, 36 x 4, 39 x 4, 42 x 4.5, 45 x 4.5, 48 x 5",
  ),
  ...metricThreads(
    "MF",
    "3 x 0.35, 4 x 0.5, 5 x 0.5, 6 x 0.75, 8 x 0.75, 8 x 1, 10 x 0.75, 10 x 1, 10 x 1.25, 12 x 1, 12 x 1.25, 12 x 1.5, " +
      "14 x 1, 14 x 1.25, 14 x 1.5, 16 x 1, 16 x 1.5, 18 x 1, 18 x 1.5, 18 x 2, 20 x 1, 20 x 1.5, 20 x 2, 22 x 1, " +
      "22 x 1.5, 22 x 2, 24 x 1, 24 x 1.5, 24 x 2, 27 x 1.5, 27 x 2, 30 x 1.5, 30 x 2, 33 x 2, 36 x 3, 39 x 3",
  ),
];
