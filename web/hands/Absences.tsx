import { useMemo } from "react";
import { useEveryPage } from "../shared/everyPage.ts";
import { DateField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { dateWithWeekday } from "../shared/format.ts";
import { Loading, Problem } from "../shared/Page.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useSave } from "../shared/save.tsx";
import { AbsencesQuery, type Hand, SaveAbsence } from "./hand.ts";

/** "Mon 4 Jan 2027", "Mon 4 Jan 2027 to Fri 8 Jan 2027" */
export const spanWords = ({ fromDate, toDate }: { fromDate: string; toDate: string }): string =>
  fromDate === toDate ? dateWithWeekday(fromDate) : `${dateWithWeekday(fromDate)} to ${dateWithWeekday(toDate)}`;

/** When a hand is away: all that is entered, and the next. Why is not asked. */
export function Absences({ hand, onDone }: { hand: Hand; onDone: () => void }) {
  const { save } = useSave();
  const variables = useMemo(() => ({ hand: hand.id }), [hand.id]);
  const { rows, error, again } = useEveryPage(AbsencesQuery, variables, (data) => data.hand.absences);
  return (
    <div className="absences">
      <h3>{hand.name} is away</h3>
      {!rows && (error ? <Problem of={error} what="the absences" again={again} /> : <Loading what="the absences" />)}
      {rows?.length === 0 && <p className="soft">No absence is entered.</p>}
      {rows && rows.length > 0 && (
        <ul className="lines-narrow">
          {rows.map((absence) => (
            <li key={absence.id}>
              <span>{spanWords(absence)}</span>
              <RemoveButton
                row="ABSENCE"
                id={absence.id}
                revision={absence.revision}
                what={`the absence of ${hand.name}, ${spanWords(absence)}`}
              />
            </li>
          ))}
        </ul>
      )}
      <Form
        label={`An absence of ${hand.name}`}
        saveLabel="Save the absence"
        initial={{ fromDate: null, toDate: null }}
        onSave={({ fromDate, toDate }) =>
          save(SaveAbsence, {
            input: {
              hand: hand.id,
              fromDate: fromDate as string | null,
              ...(toDate ? { toDate: toDate as string } : {}),
            },
          })
        }
        onCancel={onDone}
      >
        <div className="fields">
          <DateField name="fromDate" label="From" />
          <DateField name="toDate" label="To" hint="Blank: one day" />
        </div>
      </Form>
    </div>
  );
}
