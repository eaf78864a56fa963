import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { counted, listed, plainNumber } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { Loading, Problem } from "../shared/Page.tsx";
import { type Column, Table } from "../shared/Table.tsx";

const PointsQuery = graphql(`
  query PointsLost($restoration: ID!) {
    restoration(id: $restoration) {
      id
      judgingSheet { maximum }
      pointsLost {
        total
        onAverage
        disqualifiedBy
        bySection { section maximum cap beforeCap lost onNoLine lines { title lost mandatory disqualifying } }
        floors { award points by met }
      }
    }
  }
`);

interface SectionLoss {
  section: string | null;
  maximum: number | null;
  cap: number | null;
  beforeCap: number;
  lost: number;
  onNoLine: number;
  lines: readonly { title: string; lost: number; mandatory: boolean; disqualifying: boolean }[];
}

interface Standing {
  award: string;
  points: number;
  by: number;
  met: boolean;
}

const COLUMNS: Column<SectionLoss>[] = [
  { id: "section", title: "Section", lead: true, cell: ({ section }) => section ?? "in no section of the sheet" },
  {
    id: "lines",
    title: "Lines that lose",
    cell: ({ section, lines, onNoLine }) =>
      [
        ...lines.map(
          ({ title, lost, mandatory, disqualifying }) =>
            `${title} ${plainNumber(lost, 2)}${mandatory ? " (whole)" : ""}${disqualifying ? " (leaves no award)" : ""}`,
        ),
        // So that what is listed comes to what is lost before the cap.
        ...(section !== null && onNoLine > 0 ? [`on no line ${plainNumber(onNoLine, 2)}`] : []),
      ].join(", "),
  },
  { id: "before", title: "Before the cap", numeric: true, cell: ({ beforeCap }) => plainNumber(beforeCap, 2) },
  {
    id: "cap",
    title: "Can lose at most",
    numeric: true,
    cell: ({ cap, maximum }) => {
      const most = cap ?? maximum;
      return most === null ? "no limit" : plainNumber(most, 2);
    },
  },
  { id: "lost", title: "Lost", numeric: true, cell: ({ lost }) => plainNumber(lost, 2) },
  {
    id: "left",
    title: "Left",
    numeric: true,
    cell: ({ maximum, lost }) => maximum !== null && `${plainNumber(maximum - lost, 2)} of ${plainNumber(maximum)}`,
  },
];

/** Points that a judge would take off what is planned now, by section, and how that stands to each award. */
export function PointsLost({ restoration }: { restoration: string }) {
  const [result, again] = useQuery({ query: PointsQuery, variables: { restoration } });
  const row = result.data?.restoration;
  if (!row)
    return result.error ? (
      <Problem of={result.error} what="the points lost" again={() => again({ requestPolicy: "network-only" })} />
    ) : (
      <Loading what="the points lost" />
    );
  const { total, onAverage, bySection, floors, disqualifiedBy } = row.pointsLost;
  const { maximum } = row.judgingSheet;
  return (
    <>
      <p className="prose">
        As planned now, <strong>{counted(total, "point")}</strong>{" "}
        {maximum > 0
          ? `of ${plainNumber(maximum)} ${total === 1 ? "is" : "are"} lost, which leaves ${plainNumber(maximum - total, 2)}. `
          : `${total === 1 ? "is" : "are"} lost; without a sheet there is no sum to take them from. `}
        {awardsIn(floors, disqualifiedBy)}
        {onAverage > 0 &&
          ` What is looked for counts ${plainNumber(onAverage, 2)} of them on average: by the chances of its hunt, a find or what replaces it.`}
      </p>
      {floors.length > 0 && (
        <ul className="lines-narrow">
          {floors.map(({ award, points, by, met }) => (
            <li key={award}>
              <span>
                <strong>{award}</strong> <span className="soft">from {counted(points, "point")}</span>
              </span>
              <Mark
                word={
                  disqualifiedBy.length > 0
                    ? "ruled out"
                    : met
                      ? by === 0
                        ? "met, with none to spare"
                        : `met, with ${plainNumber(by, 2)} to spare`
                      : `${plainNumber(-by, 2)} short`
                }
                colour={met ? "verdigris" : "red-lead"}
                shape={met ? "full" : "cross"}
              />
            </li>
          ))}
        </ul>
      )}
      <Table
        caption="Points lost by section"
        rows={bySection}
        columns={COLUMNS}
        rowKey={({ section }) => section ?? ""}
        empty={<p className="soft">The sheet has no section, and nothing planned loses a point.</p>}
      />
    </>
  );
}

function awardsIn(floors: readonly Standing[], disqualifiedBy: readonly string[]): string {
  if (disqualifiedBy.length > 0)
    return `No award is left: something is lost on ${listed(disqualifiedBy)}, and any loss there, be it worth no point, rules them all out.`;
  if (floors.length === 0) return "No award is entered to measure them against.";
  const highest = floors.find(({ met }) => met);
  const missed = floors.filter(({ met }) => !met);
  const short = missed.map(({ award, by }) => `${award} by ${plainNumber(-by, 2)}`);
  return [
    highest ? `What is left is enough for ${highest.award}.` : "What is left is too little for any award.",
    short.length > 0 ? `It misses ${listed(short)}.` : "",
  ]
    .filter(Boolean)
    .join(" ");
}
