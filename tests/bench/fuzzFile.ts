/** Files that went wrong: those of the demo and the club with bytes, cells, columns, encodings or whole files damaged, and pictures too. */
import { readdir, readFile } from "node:fs/promises";
import sharp from "sharp";
import { zip } from "../io/fileSet.ts";
import type { Dice } from "./fuzzValue.ts";

export type FileKind = "import" | "club" | "photograph";

export interface Sent {
  kind: FileKind;
  /** What was done to it, in words. */
  damage: string;
  bytes: Uint8Array;
  type: string;
}

export interface Originals {
  /** Folders of an import, file by file. */
  imports: Record<string, Uint8Array>[];
  club: Record<string, Uint8Array>;
  photographs: { type: string; bytes: Uint8Array }[];
}

const SEED = new URL("../../seed/", import.meta.url);
const IMPORTS = ["cyclecar", "club/restorations/fenwhistle", "club/restorations/quennelby"];
/** Files that are larger than a fuzz needs are sent less often. */
const LEDGERS = ["payments.csv", "hours.csv", "invoices.csv", "rates.csv", "orders.csv"];

export async function originals(): Promise<Originals> {
  const imports = await Promise.all(IMPORTS.map(folder));
  const club = Object.fromEntries(
    Object.entries(await folder("club")).filter(([name]) => !/^(members\.csv|club\.json)$/.test(name)),
  );
  const picture = sharp({ create: { width: 60, height: 40, channels: 3, background: "#8899aa" } });
  const formats = ["jpeg", "png", "webp", "avif"] as const;
  const photographs = await Promise.all(
    formats.map(async (format) => ({
      type: `image/${format}`,
      bytes: new Uint8Array(await picture.clone()[format]().toBuffer()),
    })),
  );
  return { imports, club, photographs };
}

async function folder(name: string): Promise<Record<string, Uint8Array>> {
  const at = new URL(`${name}/`, SEED);
  const names = (await readdir(at)).filter((file) => /\.(csv|json)$/.test(file));
  return Object.fromEntries(
    await Promise.all(names.map(async (file) => [file, new Uint8Array(await readFile(new URL(file, at)))] as const)),
  );
}

/** One damaged file. */
export function damaged(dice: Dice, { imports, club, photographs }: Originals): Sent {
  const kind = dice.one<FileKind>(["import", "import", "import", "club", "club", "photograph"]);
  if (kind === "photograph") {
    const { type, bytes } = dice.one(photographs);
    const [damage, spoilt] = spoilBytes(dice, bytes);
    return { kind, damage: `${type}: ${damage}`, bytes: spoilt, type: dice.chance(0.9) ? type : "image/x-icon" };
  }
  const files: Record<string, Uint8Array> = { ...(kind === "club" ? club : dice.one(imports)) };
  const damages: string[] = [];
  for (let i = dice.below(3); i >= 0; i--) damages.push(spoilFiles(dice, files));
  let bytes = zip(files);
  if (dice.chance(0.25)) {
    const [damage, spoilt] = spoilBytes(dice, bytes);
    damages.push(`zip: ${damage}`);
    bytes = spoilt;
  }
  return { kind, damage: damages.join("; "), bytes, type: "application/zip" };
}

/** Spoils one file of a folder, in place. */
function spoilFiles(dice: Dice, files: Record<string, Uint8Array>): string {
  const names = Object.keys(files);
  const ledgers = names.filter((name) => LEDGERS.includes(name));
  const name = ledgers.length > 0 && dice.chance(0.3) ? dice.one(ledgers) : dice.one(names);
  const bytes = files[name];
  if (bytes === undefined) return "nothing is left";
  if (dice.chance(0.05)) {
    delete files[name];
    return `${name} is missing`;
  }
  if (dice.chance(0.05)) {
    const other = dice.one(names);
    files[name] = files[other] ?? bytes;
    return `${name} holds ${other}`;
  }
  if (dice.chance(0.05)) {
    const odd = dice.one([
      "sub/../x.csv",
      "PARTS.CSV",
      "a/b/parts.csv",
      "__MACOSX/parts.csv",
      "parts.csv ",
      "pa\0rts.csv",
      ".csv",
    ]);
    files[odd] = bytes;
    return `${name} stands as ${JSON.stringify(odd)} too`;
  }
  if (dice.chance(0.15)) {
    const [damage, spoilt] = spoilBytes(dice, bytes);
    files[name] = spoilt;
    return `${name}: ${damage}`;
  }
  const text = new TextDecoder().decode(bytes);
  const [damage, spoilt] = name.endsWith(".csv") ? spoilTable(dice, text) : spoilText(dice, text);
  files[name] = typeof spoilt === "string" ? new TextEncoder().encode(spoilt) : spoilt;
  return `${name}: ${damage}`;
}

function spoilBytes(dice: Dice, bytes: Uint8Array): [string, Uint8Array] {
  const spoilt = bytes.slice();
  const at = dice.below(Math.max(1, spoilt.length));
  switch (dice.below(5)) {
    case 0:
      return [`cut at byte ${at}`, spoilt.subarray(0, at)];
    case 1: {
      const flips = 1 + dice.below(12);
      for (let i = 0; i < flips; i++) spoilt[dice.below(spoilt.length)]! ^= 1 << dice.below(8);
      return [`${flips} bits turned`, spoilt];
    }
    case 2:
      spoilt.fill(dice.one([0, 0xff, 0x22, 0x2c]), at, at + 1 + dice.below(40));
      return [`overwritten at byte ${at}`, spoilt];
    case 3:
      return [`bytes ${at} on doubled`, Uint8Array.from([...spoilt, ...spoilt.subarray(at, at + 5_000)])];
    default:
      return [`the first ${at % 64} bytes gone`, spoilt.subarray(at % 64)];
  }
}

const ODD_CELLS = [
  "",
  " ",
  "\0",
  "-1",
  "0",
  "1e308",
  "1e999",
  "NaN",
  "Infinity",
  "9007199254740993",
  "2147483648",
  "99999999999999999999",
  "1,5",
  "1.5",
  "1.234,56",
  "£12",
  "12 GBP",
  "2027-02-29",
  "0000-00-00",
  "9999-12-31",
  "01/02/2027",
  "yes",
  "no",
  "\ufeffP001",
  "__proto__",
  "constructor",
  "x".repeat(6_000),
  "=1+1",
  "\u202eabc",
  '"',
  "P001",
  "STRIP",
  "\ud800",
  "🔩",
] as const;

/** Spoils a table: cells, columns, rows, separators, quotes or its encoding. */
function spoilTable(dice: Dice, text: string): [string, string | Uint8Array] {
  const lines = text.split(/\r?\n/);
  const rows = lines.map((line) => line.split(","));
  const columns = rows[0]!.length;
  const [a, b] = [dice.below(columns), dice.below(columns)];
  const joined = () => rows.map((row) => row.join(",")).join("\n");
  switch (dice.below(13)) {
    case 0:
      for (const row of rows) [row[a], row[b]] = [row[b] ?? "", row[a] ?? ""];
      return [`columns ${a} and ${b} swapped`, joined()];
    case 1:
      [rows[0]![a], rows[0]![b]] = [rows[0]![b]!, rows[0]![a]!];
      return [`names of columns ${a} and ${b} swapped`, joined()];
    case 2:
      for (const row of rows) row.splice(a, 1);
      return [`column ${a} gone`, joined()];
    case 3:
      rows[0]![a] = rows[0]![b]!;
      return [`column ${b} named twice`, joined()];
    case 4: {
      const count = 1 + dice.below(6);
      for (let i = 0; i < count; i++) dice.one(rows)[dice.below(columns)] = dice.one(ODD_CELLS);
      return [`${count} odd cells`, joined()];
    }
    case 5: {
      const odd = dice.one(ODD_CELLS);
      for (const row of rows.slice(1)) row[a] = odd;
      return [`column ${a} filled with ${JSON.stringify(odd.slice(0, 20))}`, joined()];
    }
    case 6:
      return ["rows turned round", [lines[0], ...lines.slice(1).reverse()].join("\n")];
    case 7:
      return ["rows doubled", [...lines, ...lines.slice(1)].join("\n")];
    case 8:
      return ["no header", lines.slice(1).join("\n")];
    case 9: {
      const mark = dice.one([";", "\t", "|", "\u001f"]);
      return [`separated by ${JSON.stringify(mark)}`, text.replaceAll(",", mark)];
    }
    case 10: {
      const at = dice.below(text.length + 1);
      return [`a quote at ${at}`, `${text.slice(0, at)}"${text.slice(at)}`];
    }
    case 11:
      return ["cells of other rows", shuffled(dice, rows, a)];
    default:
      return spoilText(dice, text);
  }
}

/** One column's cells in another order: each is right where it is not. */
function shuffled(dice: Dice, rows: string[][], column: number): string {
  const body = rows.slice(1);
  for (const row of body) {
    const other = dice.one(body);
    [row[column], other[column]] = [other[column] ?? "", row[column] ?? ""];
  }
  return rows.map((row) => row.join(",")).join("\n");
}

/** The same words in an encoding or with line ends that are seldom met; or JSON with a value of another kind. */
function spoilText(dice: Dice, text: string): [string, string | Uint8Array] {
  switch (dice.below(8)) {
    case 0:
      return ["UTF-16", new Uint8Array(Buffer.from(`\ufeff${text}`, "utf16le"))];
    case 1:
      return ["UTF-16 with the bytes the other way", new Uint8Array(Buffer.from(`\ufeff${text}`, "utf16le").swap16())];
    case 2:
      return ["Latin-1", new Uint8Array(Buffer.from(text.replace(/[a-e]/, "é"), "latin1"))];
    case 3:
      return ["a mark of UTF-8 twice", `\ufeff\ufeff${text}`];
    case 4:
      return ["line ends of old machines", text.replace(/\r?\n/g, "\r")];
    case 5:
      return ["empty", ""];
    case 6:
      return ["a NUL between", text.replace(/,|:/, "$&\0")];
    default: {
      const odd = dice.one(["null", "[]", "{}", "-1", "1e999", '"x"', "true", '"\\ud800"']);
      return [
        `a value that is ${odd}`,
        text.replace(/(:\s*)("[^"]*"|-?\d[\d.]*|null)/g, (all, head) => (dice.chance(0.1) ? head + odd : all)),
      ];
    }
  }
}
