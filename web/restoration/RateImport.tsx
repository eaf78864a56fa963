import { useId, useState } from "react";
import { counted } from "../shared/format.ts";
import { type FieldFault, useSave } from "../shared/save.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { ImportExchangeRates } from "./exchangeRate.ts";

/** Faults listed at once. */
const LISTED = 50;

const COLUMNS: Column<FieldFault>[] = [
  { id: "message", title: "What is wrong", lead: true, cell: ({ message }) => message },
  { id: "row", title: "Line", cell: ({ row }) => row },
  { id: "field", title: "Column", cell: ({ field }) => field },
  { id: "value", title: "Value", cell: ({ value }) => (value ? <span className="code">{value}</span> : null) },
];

/** Many rates at once from the daily table of the European Central Bank, pasted or from a file. All of it is taken, or none. */
export function RateImport({ onDone }: { onDone: () => void }) {
  const id = useId();
  const { save, saving } = useSave();
  const [csv, setCsv] = useState("");
  const [problem, setProblem] = useState<string | null>(null);
  const [faults, setFaults] = useState<readonly FieldFault[]>([]);
  const [listed, setListed] = useState(LISTED);
  const change = (text: string) => {
    setCsv(text);
    setProblem(null);
    setFaults([]);
  };

  const choose = async (file: File | undefined) => {
    if (!file) return;
    try {
      change(await file.text());
    } catch {
      setProblem("The file cannot be read. It may have been moved after it was chosen.");
    }
  };

  const take = async () => {
    setProblem(null);
    setFaults([]);
    setListed(LISTED);
    const outcome = await save(ImportExchangeRates, { csv });
    if (outcome.kind === "saved") {
      setCsv("");
      onDone();
    } else if (outcome.kind === "faults") {
      setFaults(outcome.faults);
      setProblem(
        `${counted(outcome.faults.length, "fault")}: nothing was taken, and the rates are as they were. The text is kept; correct it and take it again.`,
      );
    } else if ("message" in outcome) setProblem(outcome.message);
  };

  return (
    <form
      aria-label="Take rates from a table"
      noValidate
      onSubmit={(event) => {
        event.preventDefault();
        if (!saving) void take();
      }}
    >
      <p className="prose soft small" id={`${id}-layout`}>
        In the layout that the European Central Bank publishes: a column Date and one column a currency, one line a day,
        each figure the price of one euro. A blank or N/A is no rate. A rate that is there for the same day is changed;
        none are taken away.
      </p>
      <div className="fields">
        <div className="field wide">
          <label htmlFor={`${id}-text`}>The table, pasted</label>
          <textarea
            id={`${id}-text`}
            className="table-text"
            rows={6}
            spellCheck={false}
            value={csv}
            placeholder={"Date,USD,GBP\n2026-11-20,1.0847,0.8436"}
            aria-describedby={`${id}-layout`}
            aria-invalid={faults.length > 0 || undefined}
            onChange={(event) => change(event.target.value)}
          />
        </div>
        <div className="field">
          <label htmlFor={`${id}-file`}>or a file</label>
          <input
            id={`${id}-file`}
            type="file"
            accept=".csv,.txt,text/csv,text/plain"
            onChange={(event) => {
              void choose(event.target.files?.[0]);
              // So that the same file, corrected, can be chosen again.
              event.target.value = "";
            }}
          />
        </div>
      </div>
      <div aria-live="polite">{problem && <p className="form-problem">{problem}</p>}</div>
      {faults.length > 0 && (
        <Table
          caption="Faults in the table"
          rows={faults.slice(0, listed)}
          columns={COLUMNS}
          rowKey={(fault) => `${fault.row} ${fault.field} ${fault.code} ${fault.value}`}
          paging={
            <p>
              {faults.length > listed
                ? `${listed} of ${counted(faults.length, "fault")} `
                : counted(faults.length, "fault")}
              {faults.length > listed && (
                <button type="button" onClick={() => setListed(listed + LISTED)}>
                  Show more
                </button>
              )}
            </p>
          }
        />
      )}
      <div className="form-foot">
        <button type="submit" className="main" disabled={saving || csv.trim() === ""}>
          {saving ? "Reading …" : "Take the rates"}
        </button>
        <button type="button" onClick={onDone}>
          Leave it
        </button>
      </div>
    </form>
  );
}
