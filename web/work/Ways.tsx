import { Fragment, type ReactNode } from "react";
import { Link } from "react-router";
import { type PaidFor, Payments, paymentOf } from "../parts/Payments.tsx";
import { addressOf } from "../shared/addresses.ts";
import { Code } from "../shared/Code.tsx";
import { counted, days, hours, money } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { OptionTotal } from "../shared/optionCost.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { useWeighing, WeighedOption } from "../shared/Weighed.tsx";
import type { OperationOnPage } from "./operation.ts";
import { WayForm } from "./WayForm.tsx";
import { ChooseWay, type WayOnPage } from "./way.ts";

const least = (ways: readonly WayOnPage[], of: (way: WayOnPage) => number, one: WayOnPage): string =>
  ways.length > 1 && ways.every((other) => other.id === one.id || of(other) > of(one)) ? ", the least" : "";

/** Ways to do an operation side by side, the operation as it says itself among them, and what choosing one would do. */
export function Ways({ operation }: { operation: OperationOnPage }) {
  const { ways, chosenWay, state } = operation;
  const open = useOpen();
  const restoration = useRestoration();
  const on = restoration.day;
  const { save, saving } = useSave();
  const weighing = useWeighing({ kind: "OPERATION", row: operation.id }, (way) =>
    save(ChooseWay, { operation: operation.id, way, revision: operation.revision }, { weighed: true }),
  );
  return (
    <>
      <p className="prose" aria-live="polite">
        {ways.length === 0 ? (
          <>
            There is one way to do it: the hours above, in the shop. Another way, sent out or with other work, can be
            set beside it.
          </>
        ) : (
          "The way in force gives the plan its hours and its days away."
        )}
        {state === "DONE" && ways.length > 0 && " The operation is done, so a choice no longer moves any date."}
      </p>
      {ways.length > 0 && (
        <ul className="ways">
          <Choice
            title="As the operation itself says"
            chosen={chosenWay === null}
            facts={[
              ["Where", "in the shop"],
              ["Shop work", hours(hoursLeft(operation))],
              ["Away", "not away"],
              ["Price", "nothing beside the hours"],
              ["With its hours", <OptionTotal key="cost" of={operation.ownCost} noun="price" />],
              ["Points lost", counted(0, "point")],
            ]}
          />
          {ways.map((way) =>
            open.has(way.id) ? (
              <li key={way.id} className="wide">
                <Opened>
                  <WayForm operation={operation.id} way={way} onDone={() => open.close(way.id)} />
                </Opened>
              </li>
            ) : (
              <Choice
                key={way.id}
                title={way.title}
                code={way.code}
                chosen={way.chosen}
                facts={factsOf(way, ways)}
                below={<Payments of={paidForWay(way)} payments={way.payments} figuresFor={on} open={open} />}
                weighed={<WeighedOption of={weighing} option={way} name={way.title} choosing={saving} />}
              >
                <button
                  type="button"
                  className={way.chosen ? undefined : "main"}
                  aria-expanded={weighing.isWeighed(way)}
                  onClick={() => weighing.weigh(way)}
                >
                  {way.chosen ? "Take the choice back" : "Weigh"}
                  <span className="unseen"> {way.title}</span>
                </button>
                <OpenButton of={open} opens={way.id}>
                  Change<span className="unseen"> the way {way.title}</span>
                </OpenButton>
                {(way.price.minor > 0 || way.payments.length > 0) && (
                  <OpenButton of={open} opens={paymentOf(way)}>
                    Add a payment<span className="unseen"> for {way.title}</span>
                  </OpenButton>
                )}
                <RemoveButton row="OPERATION_WAY" id={way.id} revision={way.revision} what={`the way ${way.title}`} />
              </Choice>
            ),
          )}
        </ul>
      )}
      {open.has("new") ? (
        <Opened>
          <WayForm operation={operation.id} onDone={() => open.close("new")} />
        </Opened>
      ) : (
        <p className="no-print">
          <OpenButton of={open} opens="new">
            Add a way
          </OpenButton>
        </p>
      )}
    </>
  );
}

const paidForWay = ({ id, code, price }: WayOnPage): PaidFor => ({ field: "way", id, words: `the way ${code}`, price });

type Fact = readonly [title: string, said: ReactNode];

interface ChoiceProps {
  title: string;
  code?: string;
  chosen: boolean;
  facts: readonly Fact[];
  /** Its buttons. */
  children?: ReactNode;
  /** Under the facts. */
  below?: ReactNode;
  /** Under its buttons: what choosing it would do. */
  weighed?: ReactNode;
}

function Choice({ title, code, chosen, facts, children, below, weighed }: ChoiceProps) {
  return (
    <li className={chosen ? "chosen" : undefined}>
      <h3>
        {code && (
          <>
            <Code noun="way" of={code} />{" "}
          </>
        )}
        {title}
      </h3>
      <p>
        {chosen ? (
          <Mark word="in force" colour="verdigris" shape="full" />
        ) : (
          <Mark word="not chosen" colour="ink" shape="empty" />
        )}
      </p>
      <dl className="facts">
        {facts.map(([name, said]) => (
          <Fragment key={name}>
            <dt>{name}</dt>
            <dd>{said}</dd>
          </Fragment>
        ))}
      </dl>
      {below}
      {children && <div className="row no-print">{children}</div>}
      {weighed}
    </li>
  );
}

function factsOf(way: WayOnPage, ways: readonly WayOnPage[]): Fact[] {
  const oneCurrency = new Set(ways.map(({ price }) => price.currency)).size === 1;
  return [
    ["Where", way.supplier ? <Where key="where" supplier={way.supplier} /> : "in the shop"],
    ["Shop work", `${hours(way.hours)}${least(ways, (other) => other.hours, way)}`],
    ["Away", way.days === 0 ? "not away" : `${days(way.days)}${least(ways, (other) => other.days, way)}`],
    ["Price", `${money(way.price)}${oneCurrency ? least(ways, (other) => other.price.minor, way) : ""}`],
    [
      "With its hours",
      <OptionTotal key="cost" of={way.cost} noun={way.payments.length > 0 ? "still to pay" : "price"} />,
    ],
    ["Points lost", `${counted(way.points, "point")}${least(ways, (other) => other.points, way)}`],
  ];
}

function Where({ supplier }: { supplier: NonNullable<WayOnPage["supplier"]> }) {
  const restoration = useRestoration();
  return (
    <>
      <Link to={addressOf.supplier(restoration.id, supplier.id)}>{supplier.name}</Link>
      {supplier.kind === "SHOP" && ", in-house"}
    </>
  );
}

function hoursLeft({ state, remainingHours, hoursLikely }: OperationOnPage): number {
  if (state === "DONE") return 0;
  return state === "UNDER_WAY" ? (remainingHours ?? hoursLikely) : hoursLikely;
}
