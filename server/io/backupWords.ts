/** What a backup or a data folder holds, in words for a terminal. */
import type { Manifest } from "./backupFile.ts";
import { photographsIn } from "./backupFile.ts";

/** "640 kB", "2.1 MB", "1.4 GB" */
export function inBytes(bytes: number): string {
  const [size, unit] = bytes < 1e6 ? [bytes / 1e3, "kB"] : bytes < 1e9 ? [bytes / 1e6, "MB"] : [bytes / 1e9, "GB"];
  return `${size >= 100 || unit === "kB" ? Math.ceil(size) : Math.round(size * 10) / 10} ${unit}`;
}

/** "1 photograph", "2,140 photographs" */
export const counted = (count: number, noun: string): string =>
  `${new Intl.NumberFormat("en-GB").format(count)} ${noun}${count === 1 ? "" : "s"}`;

const sum = (numbers: Iterable<number>): number => [...numbers].reduce((all, one) => all + one, 0);

/** "412 rows in 56 tables, 14 photographs, 3.2 MB" */
export const holds = (tables: Manifest["tables"], photographs: number, bytes: number): string =>
  `${counted(sum(Object.values(tables)), "row")} in ${counted(Object.keys(tables).length, "table")}, ${counted(photographs, "photograph")}, ${inBytes(bytes)}`;

export const manifestHolds = (manifest: Manifest): string =>
  holds(manifest.tables, photographsIn(manifest), sum(Object.values(manifest.files).map(({ bytes }) => bytes)));

/** What was wrong already when a backup was made, one line each. */
export const wrongBefore = ({ missing, altered }: Manifest): string[] => [
  ...missing.map((entry) => `${entry} was missing already when the backup was made.`),
  ...altered.map((entry) => `${entry} was another picture already when the backup was made.`),
];
