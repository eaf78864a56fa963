import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { codeInWords } from "../shared/Code.tsx";
import { dateInFull, hours } from "../shared/format.ts";
import { WorkMark } from "../shared/Mark.tsx";
import { Section } from "../shared/Page.tsx";
import { CriticalMark, OpenMark } from "./CriticalMark.tsx";
import { Neighbours } from "./Neighbours.tsx";
import { type Scheduled, spanWords, type WholeSchedule } from "./schedule.ts";

interface ChosenOperationProps {
  restoration: string;
  row: Scheduled;
  schedule: WholeSchedule;
  onClose: () => void;
}

/** Details of the box chosen in the network. */
export function ChosenOperation({ restoration, row, schedule, onClose }: ChosenOperationProps) {
  const { operation } = row;
  const done = operation.state === "DONE";
  return (
    <Section
      title={`${codeInWords("Operation", operation.code)} ${operation.title}`}
      aside={
        <>
          <Link className="button" to={addressOf.operation(restoration, operation.id)}>
            Open its sheet
          </Link>
          <button type="button" onClick={onClose}>
            Close<span className="unseen"> the details</span>
          </button>
        </>
      }
    >
      <p className="row">
        <WorkMark state={operation.state} />
        {row.critical && !done && <CriticalMark />}
        {row.waitsForOpen.length > 0 && <OpenMark of={row} />}
        <span>{spanWords(row)}</span>
        {!done && (
          <span className="soft">
            {hours(row.hoursToDo)} to do, float {hours(row.totalFloat)}, to be finished by{" "}
            {dateInFull(row.lateFinishDate)}
          </span>
        )}
        {operation.trade && <span className="soft">{operation.trade}</span>}
      </p>
      <Neighbours level={3} restoration={restoration} of={row} rows={schedule.rows ?? []} links={schedule.links} />
    </Section>
  );
}
