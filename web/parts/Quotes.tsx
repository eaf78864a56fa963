// biome-ignore-all lint/a11y/noRedundantRoles: on a narrow screen the rows are grids and lose their roles, so all are spelt out
import { type CSSProperties, type ReactNode, useState } from "react";
import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { codeInWords } from "../shared/Code.tsx";
import { type Effect, effectCells } from "../shared/effect.ts";
import { counted, dateInFull, hours, money, plainNumber } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { type Open, OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Section } from "../shared/Page.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { useWeighing, WeighedOption } from "../shared/Weighed.tsx";
import { isOwnWork, NOT_ORDERED } from "../shared/words.ts";
import { ChooseQuote, type Part, type Quote } from "./part.ts";
import { QuoteForm } from "./QuoteForm.tsx";
import { linesOf, type Target } from "./quoteLines.tsx";

interface QuotesProps {
  part: Part;
  /** The day the figures are for. */
  figuresFor: string;
  target: Target | null;
  /** Opens the form for an order from a quote. */
  onOrder: (quote: Quote) => void;
}

/** Every quote for the part, side by side at every width: what each would do first, then what it says. */
export function Quotes({ part, figuresFor, target, onOrder }: QuotesProps) {
  const open = useOpen();
  const { save, saving } = useSave();
  const [terms, setTerms] = useState(false);
  const weighing = useWeighing({ kind: "PART", row: part.id }, (quote) =>
    save(ChooseQuote, { part: part.id, quote, revision: part.revision }, { weighed: true }),
  );
  const { effectOf } = weighing;
  const lines = linesOf(part, figuresFor, target);
  const inPlan = part.outlook.quote?.id;
  const quotes = part.quotes.toSorted((a, b) => Number(b.id === inPlan) - Number(a.id === inPlan));
  const weighed = quotes.find(weighing.isWeighed);
  // While it is hunted none of them is what the plan goes by: it goes by the hunt, with its fallback at what odds it comes to it.
  const hunted = part.outlook.state === "HUNTED";
  const toChoose = NOT_ORDERED.includes(part.outlook.state);
  const shown = (quote: Quote): string | undefined => (inForce(quote) ? "chosen" : undefined);
  return (
    <Section
      title={quotes.length === 0 ? "Quotes" : counted(quotes.length, "quote")}
      id="quotes"
      note={
        toChoose && (hunted || quotes.length > 1) ? (
          <span className="wide-only">
            {hunted
              ? "Against the hunt, on average."
              : quotes.some(inForce)
                ? "Against the one chosen."
                : "Against the one that the plan counts on."}
          </span>
        ) : undefined
      }
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
      {quotes.length === 0 ? (
        !open.has("new") && <p className="soft">Nobody quotes it yet.</p>
      ) : (
        <div className="table-scroll quotes-scroll">
          <table
            role="table"
            className={terms ? "quotes all" : "quotes"}
            style={{ "--quotes": quotes.length } as CSSProperties}
          >
            <caption className="unseen">Quotes for {part.name}, one in each column</caption>
            <thead role="rowgroup">
              <tr role="row">
                <td role="cell" className="corner" />
                {quotes.map((quote) => (
                  <th key={quote.id} role="columnheader" scope="col" className={shown(quote)}>
                    <QuoteHead quote={quote} />
                  </th>
                ))}
              </tr>
            </thead>
            <tbody role="rowgroup">
              {toChoose &&
                EFFECTS.map(({ key, label, now }) => (
                  <tr key={key} role="row" className="effects">
                    <th role="rowheader" scope="row">
                      {label}
                    </th>
                    {quotes.map((quote) => (
                      <td key={quote.id} role="cell" className={shown(quote)}>
                        <EffectCell
                          effect={effectOf(quote.id)}
                          of={key}
                          now={quote.id === inPlan && !hunted ? now(quote, effectOf(quote.id)) : null}
                        />
                      </td>
                    ))}
                  </tr>
                ))}
              <tr role="row" className="go no-print">
                <th role="rowheader" scope="row">
                  <span className="unseen">Choose</span>
                </th>
                {quotes.map((quote) => (
                  <td key={quote.id} role="cell" className={shown(quote)}>
                    {(quote.chosen || quote.asked !== "DECLINED") && (
                      <button
                        type="button"
                        className={quote.chosen ? undefined : "main"}
                        aria-expanded={weighed === quote}
                        onClick={() => weighing.weigh(quote)}
                      >
                        {quote.chosen ? "Take the choice back" : "Weigh"}
                        <Which quote={quote} />
                      </button>
                    )}
                  </td>
                ))}
              </tr>
              {weighed && (
                <tr role="row" className="weighing no-print">
                  <td role="cell" colSpan={quotes.length + 1}>
                    <WeighedOption
                      of={weighing}
                      option={weighed}
                      name={weighed.supplier.name}
                      instead={quotes.some(inForce)}
                      choosing={saving}
                    />
                  </td>
                </tr>
              )}
              {lines.map((line) => (
                <tr key={line.key} role="row" className={line.kind}>
                  <th role="rowheader" scope="row">
                    {line.label}
                  </th>
                  {quotes.map((quote) => (
                    <td key={quote.id} role="cell" className={shown(quote)}>
                      {line.cell(quote)}
                    </td>
                  ))}
                </tr>
              ))}
              {lines.some(({ kind }) => kind) && (
                <tr role="row" className="weighing no-print">
                  <td role="cell" colSpan={quotes.length + 1}>
                    <button type="button" className="plain" aria-expanded={terms} onClick={() => setTerms(!terms)}>
                      {terms ? "Fewer lines" : "All that they say: terms, lead time and others"}
                    </button>
                  </td>
                </tr>
              )}
              <tr role="row" className="acts no-print">
                <th role="rowheader" scope="row">
                  <span className="unseen">What to do</span>
                </th>
                {quotes.map((quote) => (
                  <td key={quote.id} role="cell" className={shown(quote)}>
                    <QuoteButtons quote={quote} open={open} onOrder={onOrder} />
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

type EffectKey = keyof ReturnType<typeof effectCells>;

/** What a quote does to the plan, each against the one counted on; of that one, what it is itself. */
const EFFECTS: readonly {
  key: EffectKey;
  label: string;
  now: (quote: Quote, effect: Effect | undefined) => ReactNode;
}[] = [
  { key: "end", label: "The end", now: (_, effect) => effect && dateInFull(effect.before.date) },
  { key: "money", label: "Money", now: ({ cost }) => (cost.total ? money(cost.total) : "not known") },
  { key: "hours", label: "At the bench", now: ({ cost }) => hours(cost.hours) },
  { key: "points", label: "Points", now: ({ pointsLost }) => `${plainNumber(pointsLost)} lost` },
];

interface EffectCellProps {
  effect: Effect | undefined;
  of: EffectKey;
  /** What it is itself, of the quote that the plan counts on; null of the others. */
  now: ReactNode;
}

function EffectCell({ effect, of, now }: EffectCellProps) {
  if (now) return <strong>{now}</strong>;
  if (!effect) return <span className="soft">…</span>;
  const { same, said } = effectCells(effect)[of];
  return same ? <span className="soft">{said}</span> : <strong>{said}</strong>;
}

function QuoteHead({ quote }: { quote: Quote }) {
  const restoration = useRestoration();
  return (
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
}

/** Chosen, and not declined since by the owner: only then is it marked as what counts. */
const inForce = ({ chosen, asked }: Quote): boolean => chosen && asked !== "DECLINED";

/** Of which quote a button is, for whoever does not see its column. */
const Which = ({ quote }: { quote: Quote }) => (
  <span className="unseen">
    {" "}
    quote {quote.code} from {quote.supplier.name}
  </span>
);

interface QuoteButtonsProps {
  quote: Quote;
  open: Open;
  onOrder: (quote: Quote) => void;
}

function QuoteButtons({ quote, open, onOrder }: QuoteButtonsProps) {
  const declined = quote.asked === "DECLINED";
  return (
    <div className="quote-buttons no-print">
      <button type="button" onClick={() => onOrder(quote)}>
        {declined
          ? `${isOwnWork(quote) ? "Make it" : "Order"} all the same`
          : isOwnWork(quote)
            ? "Make it"
            : "Order from it"}
        <Which quote={quote} />
      </button>
      <OpenButton of={open} opens={quote.id}>
        Change
        <Which quote={quote} />
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
