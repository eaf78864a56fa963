import { dateInFull, odds } from "../shared/format.ts";
import { Table } from "../shared/Table.tsx";
import type { HuntRow } from "./documents.ts";

/** Where it may turn up, and where it was looked for in vain. */
export function HuntDates({ events, figuresFor }: { events: HuntRow["events"]; figuresFor: string }) {
  return (
    <>
      <h3>Dates of the hunt</h3>
      <Table
        caption="Dates of the hunt"
        rows={events}
        rowKey={({ id }) => id}
        copy={false}
        columns={[
          {
            id: "date",
            title: "Date",
            lead: true,
            cell: ({ date }) => <time dateTime={date}>{dateInFull(date)}</time>,
          },
          { id: "title", title: "What", cell: ({ title }) => title },
          {
            id: "chance",
            title: "Chance of a find",
            cell: ({ date, chance }) => (date < figuresFor || chance === 0 ? "nothing found" : odds(chance, true)),
          },
        ]}
      />
    </>
  );
}
