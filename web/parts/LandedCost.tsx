import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { dateInFull, money, percent, plainNumber } from "../shared/format.ts";
import { useRestoration } from "../shared/restoration.ts";
import type { Quote } from "./part.ts";

/** What a quote costs by the time it lies on the bench, and how that adds up. Without a rate it says which is missing, and where it is entered. */
export function LandedCost({ quote }: { quote: Quote }) {
  const { total, problem, lines, exchange, ordered, quantity, missingRates } = quote.landed;
  const restoration = useRestoration();
  const shown = lines.filter(({ amount }) => amount.minor !== 0);
  return (
    <>
      {total ? <strong className="money landed-total">{money(total)}</strong> : <span className="late">{problem}</span>}
      {missingRates.map(({ from, to, date }) => (
        <span key={from} className="quote-note no-print">
          <Link to={addressOf.missingRate(restoration.id, { from, to, date })}>
            Enter the rate from {from} to {to}
          </Link>
        </span>
      ))}
      {lines.length > 0 && (
        <details className="reckoning">
          <summary>
            How it adds up
            <span className="unseen">
              , quote {quote.code} from {quote.supplier.name}
            </span>
          </summary>
          <ul>
            {shown.map((line, place) => (
              <li key={place}>
                <span>
                  {line.words}
                  {line.basis && (
                    <span className="soft small quote-note">
                      {line.rate !== null && `${percent(line.rate)} of `}
                      {money(line.basis)}
                    </span>
                  )}
                </span>
                <span className="number">{money(line.amount)}</span>
              </li>
            ))}
            {total && (
              <li className="reckoned">
                <span>Landed</span>
                <span className="number">{money(total)}</span>
              </li>
            )}
          </ul>
          <p className="soft small">
            {ordered > quantity && `${plainNumber(ordered)} must be bought where ${plainNumber(quantity)} would do. `}
            {exchange &&
              `1 ${exchange.from} = ${exchange.rate} ${exchange.to}, the rate of ${dateInFull(exchange.date)}.`}
            {shown.length < lines.length && " What costs nothing is left out."}
          </p>
        </details>
      )}
    </>
  );
}
