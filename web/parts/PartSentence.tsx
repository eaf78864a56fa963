import type { ReactNode } from "react";
import { Link } from "react-router";
import { stepOf } from "../holdups/Rung.tsx";
import { addressOf } from "../shared/addresses.ts";
import { useDayInView } from "../shared/dayInView.ts";
import { counted, dateInFull, days, daysBetween, hours, listed, oddsTimes } from "../shared/format.ts";
import { useRestoration } from "../shared/restoration.ts";
import { isOwnWork } from "../shared/words.ts";
import { isHere, type Order, type Part, type Plan, type Quote, quotesLeft, type Rung } from "./part.ts";

interface PartSentenceProps {
  part: Part;
  /** Its place on the ladder; absent when it is in hand, or while that is being read. */
  rung: Rung | undefined;
  plan: Plan | undefined;
  /** The day the figures are for. */
  figuresFor: string;
}

const on = (date: string) => (
  <time className="nowrap" dateTime={date}>
    {dateInFull(date)}
  </time>
);

interface LeadProps extends PartSentenceProps {
  restoration: string;
  /** How a number of days from the day of the figures is said. */
  inDays: (count: number) => string;
  /** The same where no date stands beside it. */
  alone: (count: number) => string;
}

/** What is to be done about the part and by when, and how much it holds the end: to be read from two metres. */
export function leadOf(props: LeadProps): ReactNode[] {
  const first = (
    <>
      {bareName(props.part.name)}: <ToDo {...props} />.
    </>
  );
  return isHere(props.part) ? [first] : [first, <Holds key="holds" {...props} />];
}

function ToDo({ part, rung, figuresFor, inDays, alone }: LeadProps) {
  const { state, orderBy, arrivalDate, needBy } = part.outlook;
  const then = (date: string) => (
    <>
      {on(date)}, {inDays(daysBetween(figuresFor, date))}
    </>
  );
  if (state === "IN_HAND") return "in hand";
  if (state === "ARRIVED") return "arrived, to be tried";
  if (state === "NO_SOURCE")
    return (
      <>
        <span className="late">no source</span>
        {needBy && <>, needed by {then(needBy)}</>}
      </>
    );
  if (state === "HUNTED") return rung?.huntedUntil ? <>hunted until {then(rung.huntedUntil)}</> : "hunted";
  const order = openOrder(part);
  const inForce = quoteInForce(part);
  const own = inForce !== undefined && isOwnWork(inForce);
  if (state === "ORDERED" || state === "LATE")
    return (
      <>
        {order && order.daysLate > 0 && <span className="late">{days(order.daysLate)} late, </span>}
        {own ? "ready" : "expected"} {arrivalDate ? then(arrivalDate) : "soon"}
      </>
    );
  const act = `${state === "UNDECIDED" ? "decide and " : ""}${own ? "begin" : "order"}`;
  if (!orderBy) return `${act} it`;
  const left = daysBetween(figuresFor, orderBy);
  return left > 0 ? (
    <>
      {act} by {then(orderBy)}
    </>
  ) : left === 0 ? (
    `${act} ${alone(0)}`
  ) : (
    <>
      {act} it, <span className="late">due {then(orderBy)}</span>
    </>
  );
}

/** How many days of the end wait for it, now or once the hold-ups above it on the ladder are cleared. */
function Holds({ part, rung, plan, restoration }: LeadProps) {
  const { state, holdsUp, floatDays } = part.outlook;
  const why = rung ? addressOf.why(restoration, rung.id) : addressOf.holdUps(restoration);
  if (state === "NO_SOURCE")
    return (
      <>
        While it has none <Link to={why}>there is no end</Link>.
      </>
    );
  if (!holdsUp)
    return <>It does not hold the end{floatDays !== null && floatDays > 0 && `: ${days(floatDays)} to spare`}.</>;
  const rungs = plan?.ladder.edges.map(({ node }) => node) ?? [];
  const above = rung ? rungs.slice(0, rungs.indexOf(rung)).filter(({ tie, open }) => !open && tie !== rung.tie) : [];
  const step = rung ? stepOf(rung) : null;
  return (
    <>
      {rung && rung.tieSize > 1 ? `With ${counted(rung.tieSize - 1, "other")} it` : "It"}{" "}
      <Link to={why}>holds the end</Link>
      {step !== null && step > 0 && ` by ${days(step)}`}
      {above.length > 0 &&
        `, behind ${above.length === 1 ? `the ${nameIn(above[0]!.title)}` : `${above.length} others`}`}
      .
    </>
  );
}

/** Where this part stands: how it is being got, and when it is needed. */
export function PartSentence({ part, rung, plan, figuresFor }: PartSentenceProps) {
  return (
    <>
      {part.declined && <DeclinedWords of={part.declined} />} <Getting part={part} figuresFor={figuresFor} />{" "}
      <Needed part={part} rung={rung} plan={plan} figuresFor={figuresFor} />
      {part.preparation && (
        <>
          {" "}
          Before it fits it takes {hours(part.preparation.hours)} of work, for {listed(part.preparation.hands)}: the
          first operation that waits for it is of that trade.
        </>
      )}
    </>
  );
}

/** "Gearbox casing, two halves" is "Gearbox casing". */
const bareName = (name: string): string => name.split(",")[0] ?? name;

/** The part's name in a sentence: "gearbox casing". */
function nameIn(name: string): string {
  const bare = bareName(name);
  return /^[A-Z][a-z]/.test(bare) ? bare.charAt(0).toLowerCase() + bare.slice(1) : bare;
}

/** What the owner said no to, and what is to be done about it. */
function DeclinedWords({ of: { words, follows } }: { of: NonNullable<Part["declined"]> }) {
  // The owner's own words may bring their full stop.
  const sentence = (said: string): string =>
    `${said.charAt(0).toUpperCase()}${said.slice(1)}${/[.!?…]”?$/.test(said) ? "" : "."}`;
  return (
    <>
      <strong>{sentence(words)}</strong> {sentence(follows)}
    </>
  );
}

/** The order by which it comes: one still out, else one that came. */
const openOrder = (part: Part): Order | undefined =>
  part.orders.find(({ state }) => state === "PLACED") ?? part.orders.findLast(({ state }) => state !== "SENT_BACK");

/** The quote on which the plan counts. */
const quoteInForce = ({ quotes, outlook }: Part): Quote | undefined =>
  quotes.find(({ id }) => id === outlook.quote?.id);

const supplierLink = (restoration: string, supplier: { id: string; name: string }): ReactNode => (
  <Link to={addressOf.supplier(restoration, supplier.id)}>{supplier.name}</Link>
);

const cameFrom = (quote: Parameters<typeof isOwnWork>[0]): string => (isOwnWork(quote) ? "was made at" : "came from");

function Getting({ part, figuresFor }: { part: Part; figuresFor: string }) {
  const { isToday } = useDayInView(figuresFor);
  const { id } = useRestoration();
  const { state, arrivalDate } = part.outlook;
  const order = openOrder(part);
  const quote = quoteInForce(part);
  const left = quotesLeft(part);
  const accepted = part.orders.findLast((one) => one.state === "ACCEPTED" || one.state === "ARRIVED");
  if (state === "IN_HAND")
    return accepted?.arrivedOn && part.stateOnHand !== "IN_HAND" ? (
      <>
        This part {cameFrom(accepted.quote)} {supplierLink(id, accepted.quote.supplier)} on {on(accepted.arrivedOn)} and{" "}
        {arrivalDate ? "can be fitted from the next working day" : "is in hand"}.
      </>
    ) : part.stateOnHand === "IN_HAND" ? (
      <>This part is in hand.</>
    ) : (
      <>This part is no longer waited for: the work that needs it is done.</>
    );
  if (state === "ARRIVED" && accepted?.arrivedOn)
    return (
      <>
        It {cameFrom(accepted.quote)} {supplierLink(id, accepted.quote.supplier)} on {on(accepted.arrivedOn)} and is to
        be tried{arrivalDate && "; it can be fitted from the next working day"}.
      </>
    );
  if (state === "NO_SOURCE" || !quote)
    return (
      <>
        {part.quotes.some(({ asked }) => asked !== "DECLINED")
          ? `What ${part.declined ? "else " : ""}is quoted for the ${nameIn(part.name)} is ruled out`
          : `Nobody ${part.declined ? "else " : ""}quotes the ${nameIn(part.name)}`}{" "}
        and no order is out: while it has no source there is no completion date.
      </>
    );
  if (order)
    return order.daysLate > 0 ? (
      <>
        {supplierLink(id, order.quote.supplier)} promised it for {on(order.promisedOn)} and is{" "}
        <strong className="late">{days(order.daysLate)} late</strong>
        {arrivalDate && <>; it is expected on {on(arrivalDate)}</>}.
      </>
    ) : (
      <>
        It is {isOwnWork(order.quote) ? "being made at" : "ordered from"} {supplierLink(id, order.quote.supplier)} and
        expected {arrivalDate ? <>on {on(arrivalDate)}</> : "soon"}.
      </>
    );
  const arrives = arrivalDate ?? quote.arrivalDate;
  const start = quote.orderFrom && quote.orderFrom > figuresFor ? quote.orderFrom : figuresFor;
  const when = isToday && start === figuresFor ? "today" : <>on {on(start)}</>;
  if (state === "UNDECIDED")
    return (
      <>
        It has {counted(left.length, "quote")} and {left.length === 1 ? "it is not" : "none is"}{" "}
        <a href="#quotes">chosen</a>. Ordered {when}
        {left.length > 1 && ", the quickest,"} from {supplierLink(id, quote.supplier)}
        {left.length > 1 && ","} arrives on {on(quote.arrivalDate)}.
      </>
    );
  if (state === "HUNTED")
    return (
      <>
        It is <a href="#hunt">hunted</a>. Where nothing is found by the stop date the fallback is ordered on it, and
        arrives on {on(arrives)}: the plan counts on that and on no find.
      </>
    );
  return (
    <>
      {isOwnWork(quote) ? "Begun" : "Ordered"} {when} {isOwnWork(quote) ? "at" : "from"}{" "}
      {supplierLink(id, quote.supplier)} it {isOwnWork(quote) ? "is ready" : "arrives"} on {on(arrives)}.
    </>
  );
}

/** By when it must be here, to leave completion where it is and to keep the target date. */
function Needed({ part, rung, plan, figuresFor }: PartSentenceProps) {
  const { state, needBy, arrivalDate, orderBy, floatDays, holdsUp } = part.outlook;
  if (isHere(part)) return null;
  if (part.needs.length === 0)
    return (
      <>
        No operation is said to need it, so it is counted as needed for the last one:{" "}
        <a href="#needs">say which does</a>.
      </>
    );
  const inForce = quoteInForce(part);
  const own = inForce !== undefined && isOwnWork(inForce);
  const byTarget = rung?.needByTarget;
  const kept = plan?.confidence == null ? undefined : plan.orderDays?.own;
  const lateForTarget = byTarget && arrivalDate ? daysBetween(byTarget, arrivalDate) : null;
  const spare = floatDays !== null && floatDays > 0;
  return (
    <>
      {needBy && (spare || !holdsUp) && (
        <>
          To leave completion where it is, it is needed by {on(needBy)}
          {spare && `, ${days(floatDays)} to spare`}.{" "}
        </>
      )}
      {orderBy && kept?.heldEnd && kept.chance !== null && (
        <>
          {own ? "Begun" : "Ordered"} by {on(orderBy)}, and everything else on its own such day, {on(kept.heldEnd)}{" "}
          holds {oddsTimes(kept.chance)}.{" "}
        </>
      )}
      {state === "NO_SOURCE" && needBy && <>It must be in hand by {on(needBy)} if nothing else is to move. </>}
      {byTarget && (
        <>
          For the {plan?.completion.targetName || "target date"} it must be here by {on(byTarget)}
          {rung.orderByTarget && state !== "ORDERED" && state !== "LATE" && (
            <>
              , {own ? "begun" : "ordered"} by {on(rung.orderByTarget)} at the latest
              {rung.orderByTarget < figuresFor && <strong className="late">, which is past</strong>}
            </>
          )}
          {lateForTarget !== null && lateForTarget > 0 && (
            <>
              : <strong className="late">{days(lateForTarget)} too late</strong>
            </>
          )}
          .
        </>
      )}
    </>
  );
}
