/** A quote on its maker's letterhead, as it lies on the bench. What it says is what the demo's quote says. */
import sharp from "sharp";
import { boards, type Colour, type Scene } from "./camera.ts";
import { brass, leather } from "./metals.ts";
import { noise } from "./noise.ts";
import { bar, box, moved, place, rod, type Shape } from "./shapes.ts";

const WIDE = 1240;
const HIGH = 1754;

const BODY = [
  "Quill Lane Workshop                        17 November 2026",
  "Quill Lane, Nether Thornlow",
  "",
  "OUR QUOTATION FOR: gearbox casing, two halves, in",
  "aluminium, to your drawing QL 113/7",
  "",
  "1 off, with Thrumble's cored pattern        GBP 1,480.00",
  "Carriage to you                                    44.00",
  "                                            ------------",
  "                                                1,524.00",
  "Tax at 20 per cent                                304.80",
  "                                            ------------",
  "                                            GBP 1,828.80",
  "",
  "Deposit with the order                      GBP   500.00",
  "Pattern eight weeks; pour, ageing and rough facing after",
  "that: 23 weeks in all from your order.",
  "Ex works. Open until 15 January 2027.",
  "",
  "The old pieces please, to check the bosses by.",
] as const;

/** The sheet of paper, drawn flat: 0 black to 1 white. */
async function paper(): Promise<Buffer> {
  const line = (words: string, i: number) =>
    `<text x="120" y="${520 + i * 46}" xml:space="preserve">${words.replace("&", "&amp;")}</text>`;
  const svg = `<svg xmlns="http://www.w3.org/2000/svg" width="${WIDE}" height="${HIGH}">
    <rect width="100%" height="100%" fill="#fff"/>
    <g font-family="Liberation Serif, DejaVu Serif, serif" fill="#222" text-anchor="middle">
      <path d="M560 205 L600 95 H640 L680 205 Z M600 95 Q620 60 655 72 M590 130 H650 M580 165 H660" fill="none" stroke="#222" stroke-width="7"/>
      <text x="620" y="282" font-size="74" letter-spacing="10">BRINDLEWICK FOUNDRY</text>
      <text x="620" y="334" font-size="34" font-style="italic">Aluminium and iron, poured twice a month</text>
      <text x="620" y="384" font-size="28">pours@brindlewick.example     01632 960117</text>
      <path d="M120 416 H1120 M120 424 H1120" stroke="#222" stroke-width="3"/>
    </g>
    <g font-family="Liberation Mono, DejaVu Sans Mono, monospace" font-size="29.5" font-weight="bold" fill="#333">${BODY.map(line).join("")}</g>
    <path d="M780 1530 q30 -70 60 -10 t50 -30 q20 -60 40 20 t60 -20 q30 -30 40 10 l80 -25 M770 1560 q160 -25 330 -20" fill="none" stroke="#444" stroke-width="6" stroke-linecap="round"/>
    <text x="700" y="1630" font-family="Liberation Mono, DejaVu Sans Mono, monospace" font-size="29.5" font-weight="bold" fill="#333">for Brindlewick Foundry</text>
  </svg>`;
  return sharp(Buffer.from(svg)).greyscale().blur(0.8).raw().toBuffer();
}

export async function letter(): Promise<Scene> {
  const ink = await paper();
  const [a, c] = [2.1, 2.97];
  const lie = place([0, 0.05, 0], { y: 4 });
  /** Folded in three for its envelope, it does not lie quite flat again. */
  const lift = (x: number, z: number) =>
    0.1 * Math.abs((((z / c + 1) * 1.5) % 1) - 0.5) + 0.02 * noise(x * 2, 0, z * 2);
  const sheet: Shape = {
    ...box(a, 0.2, c),
    from: (x, y, z) => {
      const [dx, dz] = [Math.abs(x) - a, Math.abs(z) - c];
      return Math.max(dx, dz, (Math.abs(y - lift(x, z)) - 0.006) * 0.8);
    },
  };
  const grey = (u: number, v: number): number => {
    const [i, j] = [Math.floor(u), Math.floor(v)];
    const at = (p: number, q: number) =>
      ink[Math.min(HIGH - 1, Math.max(0, q)) * WIDE + Math.min(WIDE - 1, Math.max(0, p))]! / 255;
    const top = at(i, j) * (1 - u + i) + at(i + 1, j) * (u - i);
    const under = at(i, j + 1) * (1 - u + i) + at(i + 1, j + 1) * (u - i);
    return top * (1 - v + j) + under * (v - j);
  };
  return {
    things: [
      { shape: moved(box(14, 0.5, 14), [0, -0.5, 0]), of: boards(1.15) },
      {
        shape: lie.put(sheet),
        of: {
          dull: 1,
          colour: (x, y, z): Colour => {
            const [u, , v] = lie.inside(x, y, z);
            const shade =
              grey(((u / a + 1) / 2) * WIDE, ((v / c + 1) / 2) * HIGH) * (0.94 + 0.06 * noise(u * 3, 2, v * 3));
            return [0.02 + 0.74 * shade, 0.02 + 0.71 * shade, 0.03 + 0.6 * shade];
          },
        },
      },
      { shape: bar([1.5, 0.16, 2.95], [2.75, 0.12, 1.15], 0.075), of: { ...leather, colour: [0.35, 0.09, 0.04] } },
      { shape: moved(rod(0.36, 0.14, 0.03), [-1.75, 0.26, -2.55]), of: brass },
      { shape: moved(rod(0.15, 0.2, 0.05), [-1.75, 0.5, -2.55]), of: brass },
    ],
    eye: [0, 9.4, 2.6],
    at: [0, 0, 0.06],
    lens: 4,
    window: [-0.7, 0.7, -0.2],
    light: 1.05,
  };
}
