import { useState } from "react";
import { Link } from "react-router";
import { useQuery } from "urql";
import { type PaidFor, Payments, paymentOf } from "../parts/Payments.tsx";
import { addressOf } from "../shared/addresses.ts";
import { Code } from "../shared/Code.tsx";
import { counted, days, hours, money } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { OpenButton, useOpen } from "../shared/Opened.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { useWeighing, WeighedOption } from "../shared/Weighed.tsx";
import { RemedyForm } from "./RemedyForm.tsx";
import { ChooseRemedy, type RemedyOnSheet, type SnagOnSheet, SnagPaymentsQuery } from "./snag.ts";

const least = (
  remedies: readonly RemedyOnSheet[],
  of: (remedy: RemedyOnSheet) => number,
  one: RemedyOnSheet,
): string =>
  remedies.length > 1 && remedies.every((other) => other.id === one.id || of(other) > of(one)) ? ", the least" : "";

const paidForRemedy = ({ id, title, price }: RemedyOnSheet): PaidFor => ({
  field: "remedy",
  id,
  words: `the remedy ${title}`,
  price,
});

/** Remedies side by side: money, days, hours and points of each. */
export function Remedies({ snag }: { snag: SnagOnSheet }) {
  const { remedies } = snag;
  const restoration = useRestoration();
  const on = restoration.day;
  const open = useOpen();
  const [{ data }] = useQuery({ query: SnagPaymentsQuery, variables: { snag: snag.id } });
  const paymentsOf = (id: string) => data?.snag?.remedies.find((remedy) => remedy.id === id)?.payments ?? [];
  const { save, saving } = useSave();
  const [editing, setEditing] = useState<string | null>(null);
  const oneCurrency = new Set(remedies.map((remedy) => remedy.price.currency)).size === 1;
  const weighing = useWeighing({ kind: "SNAG", row: snag.id }, (remedy) =>
    save(ChooseRemedy, { snag: snag.id, remedy, revision: snag.revision }, { weighed: true }),
  );
  return (
    <ul className="remedies">
      {remedies.map((remedy) => (
        <li key={remedy.id} className={remedy.chosen ? "chosen" : undefined}>
          <h4>
            <Code noun="remedy" of={remedy.code} /> {remedy.title}
          </h4>
          {editing === remedy.id ? (
            <RemedyForm snag={snag} remedy={remedy} onDone={() => setEditing(null)} />
          ) : (
            <>
              <p>
                {remedy.chosen ? (
                  <Mark word="chosen" colour="verdigris" shape="full" />
                ) : (
                  <Mark word="not chosen" colour="ink" shape="empty" />
                )}
              </p>
              <dl className="facts">
                <dt>Price</dt>
                <dd>
                  {money(remedy.price)}
                  {oneCurrency ? least(remedies, (other) => other.price.minor, remedy) : ""}
                </dd>
                <dt>Until it is to hand</dt>
                <dd>
                  {days(remedy.days)}
                  {least(remedies, (other) => other.days, remedy)}
                </dd>
                <dt>Shop work</dt>
                <dd>
                  {hours(remedy.hours)}
                  {least(remedies, (other) => other.hours, remedy)}
                </dd>
                <dt>Points lost</dt>
                <dd>
                  {counted(remedy.points, "point")}
                  {least(remedies, (other) => other.points, remedy)}
                </dd>
                {remedy.supplier && (
                  <>
                    <dt>From</dt>
                    <dd>
                      <Link to={addressOf.supplier(restoration.id, remedy.supplier.id)}>{remedy.supplier.name}</Link>
                    </dd>
                  </>
                )}
              </dl>
              {remedy.notes && <p className="prose small">{remedy.notes}</p>}
              <Payments of={paidForRemedy(remedy)} payments={paymentsOf(remedy.id)} figuresFor={on} open={open} />
              <div className="row no-print">
                <button
                  type="button"
                  className={remedy.chosen ? undefined : "main"}
                  aria-expanded={weighing.isWeighed(remedy)}
                  onClick={() => weighing.weigh(remedy)}
                >
                  {remedy.chosen ? "Take the choice back" : "Weigh"}
                  <span className="unseen"> {remedy.title}</span>
                </button>
                <button type="button" onClick={() => setEditing(remedy.id)}>
                  Change<span className="unseen"> {remedy.title}</span>
                </button>
                {(remedy.price.minor > 0 || paymentsOf(remedy.id).length > 0) && (
                  <OpenButton of={open} opens={paymentOf(remedy)}>
                    Add a payment<span className="unseen"> for {remedy.title}</span>
                  </OpenButton>
                )}
                <RemoveButton
                  row="REMEDY"
                  id={remedy.id}
                  revision={remedy.revision}
                  what={`the remedy ${remedy.title}`}
                />
              </div>
              <WeighedOption
                of={weighing}
                option={remedy}
                name={remedy.title}
                instead={remedies.some(({ chosen }) => chosen)}
                choosing={saving}
              />
            </>
          )}
        </li>
      ))}
    </ul>
  );
}
