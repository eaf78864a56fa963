import { useDayInView } from "../shared/dayInView.ts";
import { dateInFull, days } from "../shared/format.ts";
import { type Column, Table } from "../shared/Table.tsx";
import { stepOf } from "./Rung.tsx";
import { type Band, type CompletionRow, nameOf, type RungRow, workAloneOf } from "./rows.ts";
import { WhyLink } from "./WhyLink.tsx";

interface LadderTableProps {
  figuresFor: string;
  rungs: readonly RungRow[];
  bands: ReadonlyMap<string, Band>;
  completion: CompletionRow;
}

/** The ladder in rows: the same dates, for those who cannot see the picture and for those who want to copy it. */
export function LadderTable({ rungs, bands, completion, figuresFor }: LadderTableProps) {
  const { inDays, word } = useDayInView(figuresFor);
  const columns = columnsFor(inDays);
  const rows = rungs.map((rung) => ({ ...rung, band: bands.get(rung.id) }));
  return (
    <details className="as-table">
      <summary>The ladder as a table</summary>
      <Table
        caption="The ladder, longest hold-up first"
        rows={rows}
        rowKey={(rung) => rung.id}
        columns={bands.size > 0 ? [...columns, BAND] : columns}
      />
      <p className="soft">
        With every hold-up cleared {word}, the work alone takes until {dateInFull(workAloneOf(rungs, completion))}.
      </p>
    </details>
  );
}

const BAND: Column<RungRow & { band: Band | undefined }> = {
  id: "band",
  title: "Even odds, and 4 in 5",
  cell: ({ band }) =>
    band?.evenOdds
      ? `${dateInFull(band.evenOdds)}; ${band.fourInFive ? dateInFull(band.fourInFive) : "perhaps never"}`
      : "",
};

const columnsFor = (inDays: (count: number) => string): Column<RungRow>[] => [
  { id: "title", title: "Hold-up", lead: true, cell: (rung) => <WhyLink id={rung.id}>{nameOf(rung)}</WhyLink> },
  {
    id: "order",
    title: "Ordered",
    cell: (rung) =>
      rung.open
        ? rung.lacking
        : rung.otherWorkUntil
          ? `on other work until ${dateInFull(rung.otherWorkUntil)}`
          : rung.orderOn
            ? dateInFull(rung.orderOn)
            : "",
  },
  { id: "arrival", title: "Arrives", cell: (rung) => (rung.arrivalDate ? dateInFull(rung.arrivalDate) : "") },
  {
    id: "end",
    title: "With all above cleared",
    cell: (rung) => (rung.heldTo ? dateInFull(rung.heldTo) : "no date yet"),
  },
  { id: "next", title: "With this and all above cleared", cell: (rung) => dateInFull(rung.nextCompletionDate) },
  {
    id: "step",
    title: "Sooner, as quoted",
    cell: (rung) => {
      const step = stepOf(rung);
      if (step === null) return "";
      return rung.tieSize > 1 && step === 0
        ? `tied with ${rung.tieSize - 1}: nothing alone`
        : `${step === 0 ? "no day" : days(step)}${rung.tieSize > 1 ? ", with all of its tie" : ""}`;
    },
  },
  { id: "needBy", title: "Need-by", cell: (rung) => (rung.needBy ? dateInFull(rung.needBy) : "") },
  {
    id: "orderBy",
    title: "Order-by",
    cell: (rung) =>
      rung.orderBy && !rung.order
        ? `${dateInFull(rung.orderBy)}${rung.daysLeft === null ? "" : `, ${inDays(rung.daysLeft)}`}`
        : "",
  },
];
