/**
 * Photographs as files beside the database: read by their content, turned the right way up, written anew without what
 * the camera noted of place and time, and named by the SHA-256 of what is stored, so that one picture is one file.
 */
import { createHash, randomUUID } from "node:crypto";
import { rm, stat, unlink, writeFile } from "node:fs/promises";
import path from "node:path";
import sharp, { type Sharp } from "sharp";
import { makeFolder, putInPlace, syncFolder } from "../store/durable.ts";
import { InvalidInput } from "../store/fault.ts";

/** Bytes of a picture that is sent, and pixels that it may unfold to. */
export const MOST_BYTES = 25 * 1024 * 1024;
const MOST_PIXELS = 80_000_000;

/** Longest side of the small picture, in pixels. */
const SMALL = 480;

export interface StoredPhotograph {
  /** SHA-256 of the stored bytes, in hexadecimal. */
  hash: string;
  mediaType: string;
  bytes: number;
  width: number;
  height: number;
}

type Format = "jpeg" | "png" | "webp";

/** How a picture of each kind is kept. AVIF takes seconds to write, and WebP holds the same. */
const KEPT: Readonly<Record<string, Format>> = { jpeg: "jpeg", png: "png", webp: "webp", avif: "webp" };

const unreadable = (message: string): InvalidInput =>
  new InvalidInput([{ code: "UNREADABLE", field: "photograph", message: `${message} Nothing was stored.` }]);

const NO_PICTURE = "This is no photograph that can be read: it must be a whole JPEG, PNG, WebP or AVIF.";

/**
 * Stores a picture and its small copy in the folder. Its name and what the sender calls it count for nothing.
 * Throws {@link InvalidInput}: UNREADABLE where it is no JPEG, PNG, WebP or AVIF or is cut short, TOO_LARGE.
 */
export async function storePhotograph(folder: string, sent: Buffer): Promise<StoredPhotograph> {
  if (sent.length > MOST_BYTES) throw tooLarge();
  const format = KEPT[await kindOf(sent)];
  if (format === undefined) throw unreadable(NO_PICTURE);
  // Turned first: what says which way up it is goes with the rest of what the camera noted.
  const picture = sharp(sent, { limitInputPixels: MOST_PIXELS, failOn: "error" }).autoOrient();
  const { data, info } = await encoded(picture, format)
    .toBuffer({ resolveWithObject: true })
    .catch(() => {
      throw unreadable(NO_PICTURE);
    });
  const small = await sharp(data)
    .resize(SMALL, SMALL, { fit: "inside", withoutEnlargement: true })
    .webp({ quality: 78 })
    .toBuffer();
  const hash = createHash("sha256").update(data).digest("hex");
  await keep(fileOf(folder, hash), data);
  await keep(smallFileOf(folder, hash), small);
  const bin = binOf(folder);
  for (const file of [fileOf(bin, hash), smallFileOf(bin, hash)]) await rm(file, { force: true });
  return { hash, mediaType: `image/${format}`, bytes: data.length, width: info.width, height: info.height };
}

/** Which kind of picture the bytes are; empty where they are none. */
async function kindOf(sent: Buffer): Promise<string> {
  const found = await sharp(sent, { limitInputPixels: false })
    .metadata()
    .catch(() => null);
  if (found === null) return "";
  if (found.width * found.height > MOST_PIXELS) throw tooLarge();
  return found.format === "heif" && found.compression === "av1" ? "avif" : found.format;
}

const tooLarge = (): InvalidInput =>
  new InvalidInput([
    {
      code: "TOO_LARGE",
      field: "photograph",
      message: `A photograph may have ${MOST_BYTES / 1024 / 1024} MiB and ${MOST_PIXELS / 1_000_000} million pixels at most. Nothing was stored.`,
    },
  ]);

function encoded(picture: Sharp, format: Format): Sharp {
  if (format === "jpeg") return picture.jpeg({ quality: 88 });
  if (format === "png") return picture.png();
  return picture.webp({ quality: 86 });
}

/** The stored picture, and its small copy, which is WebP whatever the picture is. */
export const fileOf = (folder: string, hash: string): string => path.join(folder, hash.slice(0, 2), hash);
export const smallFileOf = (folder: string, hash: string): string => `${fileOf(folder, hash)}.small`;

/** Where files wait that nothing names any more, laid out like the folder itself. */
export const binOf = (folder: string): string => path.join(folder, "bin");

/** Writes a file that is either there whole or not at all, and waits until the disk has it. */
async function keep(file: string, content: Buffer): Promise<void> {
  const folder = path.dirname(file);
  // Somebody else may have put it there this moment: its name must be on the disk too.
  if (await stat(file).catch(() => null)) return syncFolder(folder);
  await makeFolder(folder);
  const unfinished = `${file}.${randomUUID()}`;
  try {
    await writeFile(unfinished, content);
    await putInPlace(unfinished, file);
  } catch (error) {
    // On a full disk what is half written would keep others from the last room.
    await unlink(unfinished).catch(() => {});
    throw error;
  }
}
