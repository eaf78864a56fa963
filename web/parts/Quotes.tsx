import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { codeInWords } from "../shared/Code.tsx";
import { Mark } from "../shared/Mark.tsx";
import { type Open, OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Section } from "../shared/Page.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { isOwnWork } from "../shared/words.ts";
import { useNarrow } from "./narrow.ts";
import { ChooseQuote, type Part, type Quote } from "./part.ts";
import { QuoteForm } from "./QuoteForm.tsx";
import { isSaid, linesOf, type Target } from "./quoteLines.tsx";

interface QuotesProps {
  part: Part;
  /** The day the figures are for. */
  figuresFor: string;
  target: Target | null;
  /** Opens the form for an order from a quote. */
  onOrder: (quote: Quote) => void;
}

/** Every quote for the part, side by side. */
export function Quotes({ part, figuresFor, target, onOrder }: QuotesProps) {
  const restoration = useRestoration();
  const open = useOpen();
  const narrow = useNarrow();
  const lines = linesOf(part, figuresFor, target);
  const head = (quote: Quote) => (
    <>
      <Link to={addressOf.supplier(restoration.id, quote.supplier.id)}>{quote.supplier.name}</Link>{" "}
      <span className="code soft">{codeInWords("quote", quote.code)}</span>
      {quote.asked === "DECLINED" && (
        <span className="quote-chosen">
          <Mark word="declined by the owner" colour="ink" shape="cross" />
        </span>
      )}
      {inForce(quote) && (
        <span className="quote-chosen">
          <Mark word="chosen" colour="verdigris" shape="full" />
        </span>
      )}
      {quote.ruledOut && (
        <span className="quote-chosen">
          <Mark word="ruled out" colour="red-lead" shape="cross" />
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
            className={`quote${inForce(quote) ? " chosen" : ""}`}
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
                  <th key={quote.id} scope="col" className={inForce(quote) ? "chosen" : undefined}>
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
                    <td key={quote.id} className={inForce(quote) ? "chosen" : undefined}>
                      {line.cell(quote)}
                    </td>
                  ))}
                </tr>
              ))}
              <tr className="no-print">
                <td />
                {part.quotes.map((quote) => (
                  <td key={quote.id} className={inForce(quote) ? "chosen" : undefined}>
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

/** Chosen, and not declined since by the owner: only then is it marked as what counts. */
const inForce = ({ chosen, asked }: Quote): boolean => chosen && asked !== "DECLINED";

interface QuoteButtonsProps {
  part: Part;
  quote: Quote;
  open: Open;
  onOrder: (quote: Quote) => void;
}

function QuoteButtons({ part, quote, open, onOrder }: QuoteButtonsProps) {
  const { save, saving } = useSave();
  const declined = quote.asked === "DECLINED";
  const unseen = (
    <span className="unseen">
      {" "}
      quote {quote.code} from {quote.supplier.name}
    </span>
  );
  return (
    <div className="quote-buttons no-print">
      {(quote.chosen || !declined) && (
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
      )}
      <button type="button" onClick={() => onOrder(quote)}>
        {declined
          ? `${isOwnWork(quote) ? "Make it" : "Order"} all the same`
          : isOwnWork(quote)
            ? "Make it"
            : "Order from it"}
        {unseen}
      </button>
      <OpenButton of={open} opens={quote.id}>
        Change{unseen}
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
