import { useState } from "react";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { spanWords } from "../hands/Absences.tsx";
import { BeAway } from "../hands/hand.ts";
import { DateField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { dateOfDay, dateWithWeekday, dayNumber, today } from "../shared/format.ts";
import { Section } from "../shared/Page.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { useMay } from "../shared/useMay.ts";

const OwnHandQuery = graphql(`
  query OwnHand($from: Date!) {
    ownHand {
      id
      name
      absences(first: 10, from: $from) { totalCount edges { node { id revision fromDate toDate } } }
    }
  }
`);

/** For an account that is a hand's: away tomorrow in two taps, or for some days. Why is not asked. */
export function Away() {
  const may = useMay();
  const day = today(useRestoration().timeZone);
  const [{ data }] = useQuery({ query: OwnHandQuery, variables: { from: day }, pause: !may("Query.ownHand") });
  const { save, saving } = useSave();
  const [asking, setAsking] = useState<"no" | "when" | "days">("no");
  const hand = data?.ownHand;
  if (!hand) return null;
  const tomorrow = dateOfDay(dayNumber(day) + 1);
  const done = () => setAsking("no");
  const { edges, totalCount } = hand.absences;
  return (
    <Section title="Your absences" id="away">
      <div className="away">
        {edges.length === 0 && <p className="soft">None is entered for {hand.name}.</p>}
        <ul className="today-lines">
          {edges.map(({ node }) => (
            <li key={node.id} className="row">
              <span>{spanWords(node)}</span>
              <RemoveButton
                row="ABSENCE"
                id={node.id}
                revision={node.revision}
                what={`your absence, ${spanWords(node)}`}
              />
            </li>
          ))}
        </ul>
        {totalCount > edges.length && (
          <p className="soft">And {totalCount - edges.length} more, on the Restoration sheet.</p>
        )}
        {asking === "no" && (
          <button type="button" className="no-print" onClick={() => setAsking("when")}>
            I am away …
          </button>
        )}
        {asking === "when" && (
          <div className="row no-print">
            <button
              type="button"
              className="main"
              disabled={saving}
              onClick={() => void save(BeAway, { fromDate: tomorrow, toDate: tomorrow }).then(done)}
            >
              Tomorrow, {dateWithWeekday(tomorrow)}
            </button>
            <button type="button" onClick={() => setAsking("days")}>
              On other days
            </button>
            <button type="button" onClick={done}>
              Leave it
            </button>
          </div>
        )}
        {asking === "days" && (
          <Form
            label="Days away"
            saveLabel="Save the absence"
            initial={{ fromDate: tomorrow, toDate: tomorrow }}
            onSave={({ fromDate, toDate }) =>
              save(BeAway, { fromDate: fromDate as string, toDate: (toDate ?? fromDate) as string })
            }
            onSaved={done}
            onCancel={done}
          >
            <div className="fields">
              <DateField name="fromDate" label="From" />
              <DateField name="toDate" label="To" hint="The last day" />
            </div>
          </Form>
        )}
      </div>
    </Section>
  );
}
