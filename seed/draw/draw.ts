/**
 * `npm run demo:photographs [-- NAME …]` draws the demo's photographs anew, in seed/cyclecar/photographs/, in some minutes.
 * Everything on them is made up here; seeding reads the files and draws nothing. The letter's type is this machine's.
 */
import { mkdir, writeFile } from "node:fs/promises";
import path from "node:path";
import { fileURLToPath } from "node:url";
import sharp, { type Sharp } from "sharp";
import { photograph, type Scene } from "./camera.ts";
import { letter } from "./letter.ts";
import { carburettor, casing, gears, lamps, lug } from "./parts.ts";
import { chassis, crates, sister } from "./shop.ts";

const FOLDER = fileURLToPath(new URL("../cyclecar/photographs/", import.meta.url));

const taken = (scene: () => Scene) => () => photograph(scene(), 800, 600);

/** Taken by somebody who moved, and printed long ago. */
async function faded(picture: Sharp): Promise<Sharp> {
  const blurred = await sharp(await picture.png().toBuffer())
    .blur(1.6)
    .greyscale()
    .png()
    .toBuffer();
  return sharp(blurred).tint("#c2ad8e").linear(0.84, 30);
}

const PICTURES: Readonly<Record<string, () => Promise<Sharp>>> = {
  crates: taken(crates),
  casing: taken(casing),
  gears: taken(gears),
  sister: async () => faded(await photograph(sister(), 800, 600)),
  carburettor: taken(carburettor),
  lamps: taken(lamps),
  lug: taken(lug),
  letter: async () => photograph(await letter(), 720, 960),
  chassis: taken(chassis),
};

const asked = process.argv.slice(2);
await mkdir(FOLDER, { recursive: true });
for (const [name, draw] of Object.entries(PICTURES)) {
  if (asked.length > 0 && !asked.includes(name)) continue;
  const bytes = await (await draw()).jpeg({ quality: 76, mozjpeg: true }).toBuffer();
  await writeFile(path.join(FOLDER, `${name}.jpg`), bytes);
  console.log(`${name}.jpg: ${bytes.length} bytes`);
}
