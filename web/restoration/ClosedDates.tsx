import { useEffect, useState } from "react";
import { useFormState } from "../shared/Form.tsx";
import { dateWithWeekday } from "../shared/format.ts";

export interface Closed {
  date: string;
  reason: string;
}

/** The list of closed dates in the calendar's form, saved with it. */
export function ClosedDates() {
  const form = useFormState();
  const closed = (form.value("closedDates") as Closed[] | undefined) ?? [];
  const [date, setDate] = useState("");
  const [until, setUntil] = useState("");
  const [reason, setReason] = useState("");
  const [fault, setFault] = useState("");
  useEffect(() => {
    form.call("closedDates", "Closed dates");
    for (const [place, row] of closed.entries())
      form.call(`closedDates.${place}.reason`, `The reason for ${dateWithWeekday(row.date)}`);
  });
  const set = (rows: Closed[]) =>
    form.set(
      "closedDates",
      rows.toSorted((a, b) => a.date.localeCompare(b.date)),
    );

  const add = () => {
    if (!date) return setFault("Choose the date on which the shop is closed.");
    const last = until || date;
    if (last < date) return setFault("The last day must not be before the first.");
    const known = new Set(closed.map((row) => row.date));
    const added: Closed[] = [];
    for (
      let day = Date.parse(`${date}T00:00:00Z`);
      day <= Date.parse(`${last}T00:00:00Z`) && added.length < 400;
      day += 86_400_000
    ) {
      const one = new Date(day).toISOString().slice(0, 10);
      if (!known.has(one)) added.push({ date: one, reason: reason.trim() });
    }
    if (added.length === 0) return setFault("The shop is closed then already.");
    set([...closed, ...added]);
    setDate("");
    setUntil("");
    setReason("");
    setFault("");
  };

  return (
    <fieldset className="closed-dates">
      <legend>Closed dates</legend>
      {closed.length === 0 && <p className="soft">None.</p>}
      <ul className="lines-narrow">
        {closed.map((row) => (
          <li key={row.date}>
            <span>
              <time dateTime={row.date}>{dateWithWeekday(row.date)}</time>
              {row.reason && <span className="soft"> {row.reason}</span>}
            </span>
            <button
              type="button"
              className="remove no-print"
              onClick={() => set(closed.filter((other) => other.date !== row.date))}
            >
              Open<span className="unseen"> the shop on {row.date}</span>
            </button>
          </li>
        ))}
      </ul>
      <div className="row row-end no-print">
        <div className="field">
          <label htmlFor={`${form.id}-closed-from`}>Closed on</label>
          <input
            id={`${form.id}-closed-from`}
            type="date"
            value={date}
            aria-invalid={fault !== "" || undefined}
            aria-describedby={fault ? `${form.id}-closed-fault` : undefined}
            onChange={(event) => setDate(event.target.value)}
          />
        </div>
        <div className="field">
          <label htmlFor={`${form.id}-closed-to`}>to (blank: one day)</label>
          <input
            id={`${form.id}-closed-to`}
            type="date"
            value={until}
            onChange={(event) => setUntil(event.target.value)}
          />
        </div>
        <div className="field">
          <label htmlFor={`${form.id}-closed-why`}>Reason</label>
          <input id={`${form.id}-closed-why`} value={reason} onChange={(event) => setReason(event.target.value)} />
        </div>
        <button type="button" onClick={add}>
          Add to the list
        </button>
      </div>
      {fault && (
        <p className="field" role="alert">
          <span className="fault" id={`${form.id}-closed-fault`}>
            {fault}
          </span>
        </p>
      )}
    </fieldset>
  );
}
