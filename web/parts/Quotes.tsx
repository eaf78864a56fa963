import type { ReactNode } from "react";
import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { dateInFull, days, daysBetween, hours, money, percent, plainNumber } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { type Open, OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Section } from "../shared/Page.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { INCOTERM, PROVENANCE } from "../shared/words.ts";
import { useNarrow } from "./narrow.ts";
import { ChooseQuote, type Part, type Quote } from "./part.ts";
import { QuoteForm } from "./QuoteForm.tsx";

interface Line {
  label: ReactNode;
  key: string;
  cell: (quote: Quote) => ReactNode;
}

interface QuotesProps {
  part: Part;
  /** The day the figures stand for. */
  dataDate: string;
  /** Latest arrival that keeps the target date, and what that is called. */
  target: { name: string; by: string } | null;
  /** Opens the form for an order from a quote. */
  onOrder: (quote: Quote) => void;
}

/** Every quote for the part, side by side. */
export function Quotes({ part, dataDate, target, onOrder }: QuotesProps) {
  const restoration = useRestoration();
  const open = useOpen();
  const narrow = useNarrow();
  const lines = linesOf(part, dataDate, target);
  const head = (quote: Quote) => (
    <>
      <Link to={addressOf.supplier(restoration.id, quote.supplier.id)}>{quote.supplier.name}</Link>{" "}
      <span className="code soft">{quote.code}</span>
      {quote.chosen && (
        <span className="quote-chosen">
          <Mark word="chosen" colour="verdigris" shape="full" />
        </span>
      )}
    </>
  );
  const buttons = (quote: Quote) => <QuoteButtons part={part} quote={quote} open={open} onOrder={onOrder} />;
  return (
    <Section
      title="Quotes"
      id="quotes"
      aside={
        <OpenButton of={open} opens="new">
          Add a quote
        </OpenButton>
      }
    >
      {open.has("new") && (
        <Opened>
          <QuoteForm part={part} onDone={() => open.close("new")} />
        </Opened>
      )}
      {part.quotes.length === 0 ? (
        !open.has("new") && <p className="soft">Nobody quotes it yet.</p>
      ) : narrow ? (
        part.quotes.map((quote) => (
          <article
            key={quote.id}
            className={`quote${quote.chosen ? " chosen" : ""}`}
            aria-label={`Quote ${quote.code} from ${quote.supplier.name}`}
          >
            <h3>{head(quote)}</h3>
            <dl className="quote-lines">
              {lines.map((line) => {
                const said = line.cell(quote);
                return (
                  isSaid(said) && (
                    <div key={line.key}>
                      <dt>{line.label}</dt>
                      <dd>{said}</dd>
                    </div>
                  )
                );
              })}
            </dl>
            {buttons(quote)}
          </article>
        ))
      ) : (
        <div className="table-scroll">
          <table className="quotes">
            <caption className="unseen">Quotes for {part.name}, one in each column</caption>
            <thead>
              <tr>
                <td />
                {part.quotes.map((quote) => (
                  <th key={quote.id} scope="col" className={quote.chosen ? "chosen" : undefined}>
                    {head(quote)}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody>
              {lines.map((line) => (
                <tr key={line.key}>
                  <th scope="row">{line.label}</th>
                  {part.quotes.map((quote) => (
                    <td key={quote.id} className={quote.chosen ? "chosen" : undefined}>
                      {line.cell(quote)}
                    </td>
                  ))}
                </tr>
              ))}
              <tr className="no-print">
                <td />
                {part.quotes.map((quote) => (
                  <td key={quote.id} className={quote.chosen ? "chosen" : undefined}>
                    {buttons(quote)}
                  </td>
                ))}
              </tr>
            </tbody>
          </table>
        </div>
      )}
      {part.quotes
        .filter((quote) => open.has(quote.id))
        .map((quote) => (
          <div key={quote.id} className="opened-form">
            <h3>
              Change quote {quote.code} from {quote.supplier.name}
            </h3>
            <Opened>
              <QuoteForm part={part} quote={quote} onDone={() => open.close(quote.id)} />
            </Opened>
          </div>
        ))}
    </Section>
  );
}

interface QuoteButtonsProps {
  part: Part;
  quote: Quote;
  open: Open;
  onOrder: (quote: Quote) => void;
}

function QuoteButtons({ part, quote, open, onOrder }: QuoteButtonsProps) {
  const { save, saving } = useSave();
  const unseen = (
    <span className="unseen">
      {" "}
      quote {quote.code} from {quote.supplier.name}
    </span>
  );
  return (
    <div className="quote-buttons no-print">
      <button
        type="button"
        className={quote.chosen ? undefined : "main"}
        disabled={saving}
        onClick={() =>
          void save(ChooseQuote, { part: part.id, quote: quote.chosen ? null : quote.id, revision: part.revision })
        }
      >
        {quote.chosen ? "Take the choice back" : "Choose"}
        {unseen}
      </button>
      <button type="button" onClick={() => onOrder(quote)}>
        Order from it{unseen}
      </button>
      <OpenButton of={open} opens={quote.id}>
        Edit{unseen}
      </OpenButton>
      <RemoveButton
        row="QUOTE"
        id={quote.id}
        revision={quote.revision}
        what={`quote ${quote.code} from ${quote.supplier.name}`}
      />
    </div>
  );
}

/** How an arrival lies to a date by which the part is needed. */
function Against({ arrival, by }: { arrival: string; by: string }) {
  const spare = daysBetween(arrival, by);
  if (spare < 0) return <Mark word={`${days(-spare)} too late`} colour="red-lead" shape="cross" />;
  return <Mark word={spare === 0 ? "on the day" : `${days(spare)} to spare`} colour="verdigris" shape="full" />;
}

const isSaid = (said: ReactNode): boolean => (Array.isArray(said) ? said.length > 0 : Boolean(said));

function linesOf(part: Part, dataDate: string, target: QuotesProps["target"]): Line[] {
  const { needBy } = part.outlook;
  const lines: Line[] = [
    {
      key: "ordered",
      label: "On order",
      cell: (quote) =>
        part.orders
          .filter(({ state, quote: { id } }) => state === "PLACED" && id === quote.id)
          .map(({ id, code, expectedOn, promisedOn }) => (
            <span key={id}>
              <span className="code">{code}</span>, {expectedOn ? "expected" : "promised"}{" "}
              <span className="nowrap">{dateInFull(expectedOn ?? promisedOn)}</span>
            </span>
          )),
    },
    { key: "provenance", label: "Provenance", cell: (quote) => PROVENANCE[quote.provenance] },
    {
      key: "arrival",
      label: (
        <>
          Arrives if ordered <span className="nowrap">{dateInFull(dataDate)}</span>
        </>
      ),
      cell: (quote) => (
        <>
          <strong>{dateInFull(quote.arrivalDate)}</strong>
          {quote.orderFrom && quote.orderFrom > dataDate && (
            <span className="soft small quote-note">takes the order on {dateInFull(quote.orderFrom)}</span>
          )}
        </>
      ),
    },
  ];
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
      label: "Unit price",
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
      key: "freight",
      label: "Freight",
      cell: ({ freight }) => freight.minor > 0 && <span className="money">{money(freight)}</span>,
    },
    {
      key: "insurance",
      label: "Insurance",
      cell: ({ insurance }) => insurance.minor > 0 && <span className="money">{money(insurance)}</span>,
    },
    { key: "duty", label: "Duty", cell: ({ dutyRate }) => dutyRate > 0 && percent(dutyRate) },
    { key: "tax", label: "Tax", cell: ({ taxRate }) => taxRate > 0 && percent(taxRate) },
    { key: "incoterm", label: "Incoterms 2020", cell: ({ incoterm }) => INCOTERM[incoterm] },
    {
      key: "deposit",
      label: "Deposit",
      cell: ({ deposit }) => deposit.minor > 0 && <span className="money">{money(deposit)}</span>,
    },
    { key: "lead", label: "Promised lead time", cell: ({ leadDays }) => days(leadDays) },
    {
      key: "estimate",
      label: "Low, likely, high",
      cell: ({ leadLow, leadLikely, leadHigh }) =>
        leadLikely !== null && (
          <span className="nowrap">
            {leadLow}, {leadLikely}, {leadHigh} days
          </span>
        ),
    },
    { key: "points", label: "Points at risk", cell: ({ pointsAtRisk }) => plainNumber(pointsAtRisk) },
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
  return lines.filter((line) => part.quotes.some((quote) => isSaid(line.cell(quote))));
}
