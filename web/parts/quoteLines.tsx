/** What stands on each line when quotes are compared. */
import type { ReactNode } from "react";
import { Code } from "../shared/Code.tsx";
import { counted, dateInFull, days, daysBetween, hours, money, percent, plainNumber } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { OptionTotal } from "../shared/optionCost.tsx";
import { CONDITION, INCOTERM, isOwnWork, leadLabel, PROVENANCE } from "../shared/words.ts";
import { FitOfQuote } from "./FitOfQuote.tsx";
import { LandedCost } from "./LandedCost.tsx";
import { expectedWait, makerRecord } from "./makerRecord.ts";
import type { Part, Quote } from "./part.ts";

export interface Line {
  label: ReactNode;
  key: string;
  cell: (quote: Quote) => ReactNode;
  /** A term is looked up and seldom compared, a detail has no room on a narrow screen: both are there when asked for. */
  kind?: "term" | "detail" | undefined;
}

/** Latest arrival that keeps the target date, and what that is called. */
export interface Target {
  name: string;
  by: string;
}

/** How an arrival lies to a date by which the part is needed. */
function Against({ arrival, by }: { arrival: string; by: string }) {
  const spare = daysBetween(arrival, by);
  if (spare < 0) return <Mark word={`${days(-spare)} too late`} colour="red-lead" shape="cross" />;
  return <Mark word={spare === 0 ? "on the day" : `${days(spare)} to spare`} colour="verdigris" shape="full" />;
}

/** True where a line says something. */
const isSaid = (said: ReactNode): boolean => (Array.isArray(said) ? said.length > 0 : Boolean(said));

const KINDS: Readonly<Record<string, Line["kind"]>> = {
  cost: "detail",
  points: "detail",
  fit: "detail",
  record: "detail",
  knockOns: "detail",
  needBy: "detail",
  target: "detail",
  notes: "detail",
  breaks: "term",
  minimum: "term",
  carriage: "term",
  weight: "term",
  insurance: "term",
  duty: "term",
  tax: "term",
  incoterm: "term",
  deposit: "term",
  lead: "term",
  estimate: "term",
  condition: "term",
  core: "term",
  preparation: "term",
};

/** The lines of the comparison, without those on which no quote of the part says anything. */
export function linesOf(part: Part, figuresFor: string, target: Target | null): Line[] {
  const { needBy } = part.outlook;
  const own = part.quotes.some(isOwnWork);
  const bought = !part.quotes.every(isOwnWork);
  const withHours = part.quotes.some(({ cost }) => cost.hours > 0);
  const lines: Line[] = [
    {
      key: "ordered",
      label: own ? (bought ? "On order or being made" : "Being made") : "On order",
      cell: (quote) =>
        part.orders
          .filter(({ state, quote: { id } }) => state === "PLACED" && id === quote.id)
          .map(({ id, code, expectedOn, promisedOn }) => (
            <span key={id}>
              <Code noun="order" of={code} />, {expectedOn ? "expected" : "promised"}{" "}
              <span className="nowrap">{dateInFull(expectedOn ?? promisedOn)}</span>
            </span>
          )),
    },
    {
      key: "provenance",
      label: "Provenance",
      cell: ({ provenance }) => (
        <>
          {PROVENANCE[provenance]}
          {part.ruledOut.includes(provenance) && (
            <span className="quote-note">
              <Mark word="ruled out here" colour="red-lead" shape="cross" />
            </span>
          )}
        </>
      ),
    },
    { key: "landed", label: "Landed cost", cell: (quote) => <LandedCost quote={quote} /> },
    {
      key: "cost",
      label: "With its hours",
      cell: ({ cost }) => cost.total && withHours && <OptionTotal of={cost} noun="landed" />,
    },
    {
      key: "arrival",
      label: (
        <>
          {own ? (bought ? "Here if ordered or begun" : "Ready if begun") : "Arrives if ordered"}{" "}
          <span className="nowrap">{dateInFull(figuresFor)}</span>
        </>
      ),
      cell: (quote) => (
        <>
          <strong>{dateInFull(quote.arrivalDate)}</strong>
          {quote.orderFrom && quote.orderFrom > figuresFor && (
            <span className="soft small quote-note">
              {isOwnWork(quote) ? "can be begun" : "takes the order"} on {dateInFull(quote.orderFrom)}
            </span>
          )}
        </>
      ),
    },
  ];
  lines.push(
    {
      key: "points",
      label: "Points lost",
      cell: ({ pointsLost, pointsByHand }) => (
        <>
          {plainNumber(pointsLost)}
          {pointsByHand > 0 && (
            <span className="soft small quote-note">your own figure: {plainNumber(pointsByHand)}</span>
          )}
        </>
      ),
    },
    {
      key: "fit",
      label: "Fit, as stated",
      cell: (quote) => part.specification.length > 0 && <FitOfQuote quote={quote} />,
    },
    { key: "record", label: "Maker's record", cell: (quote) => <MakerRecord quote={quote} /> },
    {
      key: "knockOns",
      label: "Brings with it",
      cell: ({ knockOns }) =>
        knockOns.length > 0 && (
          <ul className="quote-breaks">
            {knockOns.map(({ id, title, price, hours: work, points }) => (
              <li key={id}>
                {title}:{" "}
                {[price.minor > 0 && money(price), work > 0 && hours(work), points > 0 && counted(points, "point")]
                  .filter(Boolean)
                  .join(", ") || "nothing to pay"}
              </li>
            ))}
          </ul>
        ),
    },
  );
  if (needBy)
    lines.push({
      key: "needBy",
      label: `To leave completion where it is, by ${dateInFull(needBy)}`,
      cell: (quote) => <Against arrival={quote.arrivalDate} by={needBy} />,
    });
  if (target)
    lines.push({
      key: "target",
      label: `For the ${target.name}, by ${dateInFull(target.by)}`,
      cell: (quote) => <Against arrival={quote.arrivalDate} by={target.by} />,
    });
  lines.push(
    {
      key: "price",
      label: "Price each",
      cell: (quote) => <strong className="money">{money(quote.unitPrice)}</strong>,
    },
    {
      key: "breaks",
      label: "At larger numbers",
      cell: (quote) =>
        quote.priceBreaks.length > 0 && (
          <ul className="quote-breaks">
            {quote.priceBreaks.map(({ id, quantity, unitPrice }) => (
              <li key={id}>
                from {plainNumber(quantity)}: <span className="money">{money(unitPrice)}</span>
              </li>
            ))}
          </ul>
        ),
    },
    {
      key: "minimum",
      label: "Smallest number sold",
      cell: ({ minimumQuantity }) =>
        minimumQuantity > 1 && (
          <>
            {plainNumber(minimumQuantity)}
            {minimumQuantity > part.quantity && (
              <span className="soft small quote-note">{plainNumber(part.quantity)} needed</span>
            )}
          </>
        ),
    },
    {
      key: "carriage",
      label: "Carriage",
      cell: ({ carriage }) => carriage.minor > 0 && <span className="money">{money(carriage)}</span>,
    },
    {
      key: "weight",
      label: "Weight of a piece",
      cell: ({ weightGrams }) => weightGrams !== null && `${plainNumber(weightGrams)} g`,
    },
    {
      key: "insurance",
      label: "Insurance",
      cell: ({ insurance }) => insurance.minor > 0 && <span className="money">{money(insurance)}</span>,
    },
    { key: "duty", label: "Duty", cell: ({ dutyRate }) => dutyRate > 0 && percent(dutyRate) },
    { key: "tax", label: "Tax", cell: ({ taxRate }) => taxRate > 0 && percent(taxRate) },
    {
      key: "incoterm",
      label: "Incoterms 2020",
      cell: (quote) => (isOwnWork(quote) ? "" : INCOTERM[quote.incoterm]),
    },
    {
      key: "deposit",
      label: "Deposit",
      cell: ({ deposit }) => deposit.minor > 0 && <span className="money">{money(deposit)}</span>,
    },
    { key: "lead", label: leadLabel(own, bought), cell: ({ leadDays }) => days(leadDays) },
    {
      key: "estimate",
      label: "Least, likely, most",
      cell: ({ leadLeast, leadLikely, leadMost }) =>
        leadLikely !== null && (
          <span className="nowrap">
            {leadLeast}, {leadLikely}, {leadMost} days
          </span>
        ),
    },
    {
      key: "condition",
      label: "Condition",
      cell: ({ condition }) => condition !== "SERVICEABLE" && CONDITION[condition],
    },
    {
      key: "core",
      label: "Core charge",
      cell: ({ coreCharge, coreReturned }) =>
        coreCharge.minor > 0 && (
          <>
            <span className="money">{money(coreCharge)}</span> a piece,{" "}
            {coreReturned ? "back once the old part is returned" : "lost: no old part goes back"}
          </>
        ),
    },
    {
      key: "preparation",
      label: "Preparation",
      cell: ({ preparationHours }) => preparationHours > 0 && hours(preparationHours),
    },
    {
      key: "validity",
      label: "Valid until",
      cell: ({ validUntil, expired }) =>
        validUntil && (
          <>
            <span className="nowrap">{dateInFull(validUntil)}</span>{" "}
            {expired && <Mark word="ask again" colour="brass" shape="broken" />}
          </>
        ),
    },
    { key: "notes", label: "Notes", cell: ({ notes }) => notes && <span className="quote-notes">{notes}</span> },
  );
  return lines
    .map((line): Line => ({ ...line, kind: KINDS[line.key] }))
    .filter((line) => part.quotes.some((quote) => isSaid(line.cell(quote))));
}

/** The maker's orders so far, and what they make of this promise. */
function MakerRecord({ quote: { makerRecord: record, leadLeast, leadLikely, leadMost } }: { quote: Quote }) {
  const estimated = leadLeast !== null && leadLikely !== null && leadMost !== null;
  return (
    <>
      {makerRecord(record)}
      <span className="soft small quote-note">
        {expectedWait(record)}
        {estimated && "; the odds go by the quote's own least, likely and most"}
      </span>
    </>
  );
}
