import { useQuery } from "urql";
import { codeInWords } from "../shared/Code.tsx";
import { newKey } from "../shared/device.ts";
import { DateField, NotesField, NumberField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { dateInFull, hours, money, today } from "../shared/format.ts";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Loading, Problem, Section } from "../shared/Page.tsx";
import { Paging, usePaging } from "../shared/paging.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { BookHours, CorrectHours, type HoursEntry, type HoursInput, HoursOfOperationQuery } from "./hours.ts";

interface HoursOfOperationProps {
  operation: { id: string; code: string; state: "NOT_STARTED" | "UNDER_WAY" | "DONE" };
}

/** Hours booked to an operation: the entries, one more by hand, and corrections, which are entries too. */
export function HoursOfOperation({ operation }: HoursOfOperationProps) {
  const open = useOpen();
  const paging = usePaging("hours", 20);
  const [result, again] = useQuery({
    query: HoursOfOperationQuery,
    variables: { operation: operation.id, ...paging.variables },
  });
  const read = result.data?.operation;
  const entries = read?.hoursBooked.edges.map(({ node }) => node) ?? [];
  return (
    <Section
      title="Hours booked"
      id="hours"
      aside={
        <OpenButton of={open} opens="new">
          Book hours
        </OpenButton>
      }
    >
      {open.has("new") && (
        <Opened>
          <BookForm operation={operation} left={read?.hoursLeft ?? null} onClose={() => open.close("new")} />
        </Opened>
      )}
      {!read ? (
        result.error ? (
          <Problem of={result.error} what="the hours" again={() => again({ requestPolicy: "network-only" })} />
        ) : (
          <Loading what="the hours" />
        )
      ) : read.hoursBooked.totalCount === 0 ? (
        <p className="soft">No hours are booked to it. The Hours sheet books them from the bench, with a clock.</p>
      ) : (
        <>
          <p>
            {hours(read.totalHoursBooked)} booked
            {operation.state === "DONE" ? "." : `, ${hours(read.hoursLeft)} still to do.`}
          </p>
          <Table
            caption={`Hours booked to ${codeInWords("operation", operation.code)}`}
            rows={entries}
            rowKey={(row) => row.id}
            columns={columnsFor(open)}
            below={(row) =>
              open.has(row.id) ? (
                <Opened>
                  <CorrectForm entry={row} onClose={() => open.close(row.id)} />
                </Opened>
              ) : null
            }
            paging={
              <Paging
                of={paging}
                page={read.hoursBooked.pageInfo}
                total={read.hoursBooked.totalCount}
                shown={entries.length}
                noun="entry"
                plural="entries"
              />
            }
          />
        </>
      )}
    </Section>
  );
}

const columnsFor = (open: ReturnType<typeof useOpen>): Column<HoursEntry>[] => [
  { id: "day", title: "Worked on", lead: true, cell: (row) => dateInFull(row.workedOn) },
  { id: "hours", title: "Hours", numeric: true, cell: (row) => hours(row.hours) },
  {
    id: "left",
    title: "Still to do",
    numeric: true,
    cell: (row) => (row.remainingHours === null ? "" : hours(row.remainingHours)),
  },
  { id: "rate", title: "Rate", numeric: true, cell: (row) => (row.rate ? `${money(row.rate)} an hour` : "no rate") },
  { id: "who", title: "By", cell: (row) => row.account.name },
  {
    id: "notes",
    title: "Notes",
    cell: (row) =>
      [row.corrects ? "Corrects an entry" : "", row.corrected ? "Corrected since" : "", row.notes]
        .filter(Boolean)
        .join(". "),
  },
  {
    id: "correct",
    title: "",
    controls: true,
    cell: (row) =>
      row.corrected ? null : (
        <OpenButton of={open} opens={row.id}>
          Correct<span className="unseen"> the hours of {dateInFull(row.workedOn)}</span>
        </OpenButton>
      ),
  },
];

interface BookFormProps extends HoursOfOperationProps {
  left: number | null;
  onClose: () => void;
}

function BookForm({ operation, left, onClose }: BookFormProps) {
  const { save } = useSave();
  const { timeZone } = useRestoration();
  const done = operation.state === "DONE";
  return (
    <Form
      label={`Hours for ${codeInWords("operation", operation.code)}`}
      saveLabel="Book the hours"
      initial={{ workedOn: today(timeZone), hours: null, remainingHours: null, notes: "" }}
      onSave={async (values) => {
        if (values.hours === null)
          return {
            kind: "faults",
            message: "",
            faults: [{ code: "REQUIRED", field: "hours", message: "Say how many hours were worked." }],
          };
        const input = { ...values, operation: operation.id, clientKey: newKey(), afterDone: done } as HoursInput;
        return save(BookHours, { input });
      }}
      onSaved={onClose}
      onCancel={onClose}
    >
      {done && <p className="soft">The work is done, and stays so.</p>}
      <div className="fields">
        <DateField name="workedOn" label="Worked on" />
        <NumberField name="hours" label="Hours worked" unit="h" />
        {!done && (
          <NumberField
            name="remainingHours"
            label="Hours still to do"
            unit="h"
            hint={left === null ? "Blank: what was left, less these" : `Blank: the ${hours(left)} left, less these`}
          />
        )}
        <NotesField name="notes" label="Notes" rows={2} />
      </div>
    </Form>
  );
}

function CorrectForm({ entry, onClose }: { entry: HoursEntry; onClose: () => void }) {
  const { save } = useSave();
  return (
    <Form
      label={`Correction of the hours of ${dateInFull(entry.workedOn)}`}
      saveLabel="Book the correction"
      initial={{ hours: null, remainingHours: null, notes: "" }}
      onSave={async (values) => {
        if (values.hours === null)
          return {
            kind: "faults",
            message: "",
            faults: [{ code: "REQUIRED", field: "hours", message: "Say what should have been booked; 0 for nothing." }],
          };
        const input = { ...values, entry: entry.id, clientKey: newKey() };
        return save(CorrectHours, { input: input as Parameters<typeof save<unknown, never>>[1] } as never);
      }}
      onSaved={onClose}
      onCancel={onClose}
    >
      <p className="soft">The entry stays as it is; the difference is booked as an entry of its own.</p>
      <div className="fields">
        <NumberField name="hours" label="Hours there should be" unit="h" hint="For this piece of work, in all" />
        <NumberField name="remainingHours" label="Hours still to do" unit="h" hint="Blank: as judged before" />
        <NotesField name="notes" label="Why" rows={2} />
      </div>
    </Form>
  );
}
