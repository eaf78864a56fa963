import { plainNumber } from "../shared/format.ts";
import { Table } from "../shared/Table.tsx";

/** A standard thread beside the measurement; lengths in millimetres. */
export interface ThreadMatch {
  name: string;
  family: string;
  standard: string;
  diameter: number;
  pitch: number;
  perInch: number | null;
  angle: number;
  diameterOff: number;
  pitchOff: number | null;
}

interface Finding {
  verdict: "ONE" | "SEVERAL" | "NONE";
  words: string;
  matches: readonly ThreadMatch[];
  tellApart: readonly { by: "DIAMETER" | "PITCH" | "ANGLE" | "NOTHING" }[];
}

const LOOK_AT = {
  ANGLE: "look at the thread angle",
  PITCH: "count the threads over a longer stretch",
  DIAMETER: "measure the diameter again over an unworn stretch",
  NOTHING: "they are one size, and either nut goes on",
} as const;

/** What the measurement says, in a sentence. */
export function sentenceOf({ verdict, words, matches, tellApart }: Finding): string {
  if (verdict !== "SEVERAL") return words;
  const names = matches.map(({ name }) => name);
  const listed =
    names.length <= 4
      ? `${names.slice(0, -1).join(", ")} or ${names.at(-1)}`
      : `${names.slice(0, 3).join(", ")} or one of ${names.length - 3} others`;
  const [next] = tellApart;
  const plainest = next ? `; ${LOOK_AT[next.by]}` : "";
  return `${names.length === 2 ? "Either" : "One of"} ${listed}: the measurement cannot tell them apart${plainest}.`;
}

const off = (value: number): string =>
  Math.abs(value) < 0.0005 ? "as it should be" : `${plainNumber(Math.abs(value), 3)} ${value > 0 ? "over" : "under"}`;

/** Sizes of the threads, and how far the measurement lies from them. */
export function ThreadTable({ rows }: { rows: readonly ThreadMatch[] }) {
  return (
    <Table
      caption="Standard threads"
      rows={rows}
      rowKey={({ name, standard }) => `${name} ${standard}`}
      columns={[
        { id: "name", title: "Thread", lead: true, cell: ({ name }) => <strong className="nowrap">{name}</strong> },
        { id: "family", title: "Family", cell: ({ family, standard }) => `${family}, ${standard}` },
        {
          id: "diameter",
          title: "Diameter, mm",
          numeric: true,
          cell: ({ diameter }) => plainNumber(diameter, 3),
        },
        { id: "diameterOff", title: "Measured", numeric: true, cell: ({ diameterOff }) => off(diameterOff) },
        { id: "pitch", title: "Pitch, mm", numeric: true, cell: ({ pitch }) => plainNumber(pitch, 4) },
        {
          id: "perInch",
          title: "To the inch",
          numeric: true,
          cell: ({ perInch }) => perInch !== null && plainNumber(perInch),
        },
        {
          id: "pitchOff",
          title: "Pitch measured",
          numeric: true,
          cell: ({ pitchOff }) => pitchOff !== null && off(pitchOff),
        },
        { id: "angle", title: "Angle", numeric: true, cell: ({ angle }) => `${plainNumber(angle)}°` },
      ]}
    />
  );
}
