const FILES: readonly [string, string, string][] = [
  [
    "operations.csv",
    "operation, title, trade, hours_least, hours_likely, hours_most, state, section, started_on, finished_on, remaining_hours, notes",
    "The pieces of shop work, with their hours. Needed.",
  ],
  [
    "links.csv",
    "before, after, lag, lag_unit",
    "What comes before what, and the time that must pass in between. Needed.",
  ],
  ["needs.csv", "operation, part, quantity", "Which operation needs which part."],
  [
    "parts.csv",
    "part, name, section, quantity, state, safety_critical, estimate, notes",
    "What the machine needs, and whether the shop has it.",
  ],
  ["references.csv", "part, source, number", "Numbers by which a part is known."],
  [
    "specifications.csv",
    "part, dimension, nominal, unit, minus, plus, note",
    "Measured dimensions with their tolerances, in mm or in.",
  ],
  [
    "suppliers.csv",
    "supplier, name, kind, country, email, phone, website, currency, carriage, minimum_order, notes",
    "Makers, dealers, foundries, breakers, club members.",
  ],
  [
    "quotes.csv",
    "quote, part, supplier, provenance, unit_price, currency, minimum_quantity, freight, insurance, duty_rate, tax_rate, incoterm, deposit, lead_days, lead_least, lead_likely, lead_most, order_from, valid_until, preparation_hours, points_at_risk, chosen, notes",
    "One supplier's way to get one part. Rates are in per cent.",
  ],
  ["price_breaks.csv", "quote, quantity, unit_price", "The unit price from a quantity on."],
  [
    "orders.csv",
    "order, quote, quantity, state, placed_on, promised_on, expected_on, arrived_on, fit_rating, total, notes",
    "Quotes taken up, and how they arrived.",
  ],
  ["payments.csv", "order, kind, paid_on, amount, notes", "Money paid on an order, and refunds."],
  ["snags.csv", "snag, operation, title, found_on, cleared_on, description", "Faults found at fitting or on test."],
  [
    "remedies.csv",
    "remedy, snag, title, supplier, price, currency, days, hours, points, chosen, notes",
    "Ways to cure a snag.",
  ],
  [
    "inspections.csv",
    "part, operation, inspector, inspected_on, what",
    "Who looked at a safety-critical part, and when.",
  ],
  [
    "restoration.json",
    "machine, owner, description, targetName, targetDate, figuresFor, currency, cap, confidence, calendar, hands, judgingSheet",
    "The restoration itself, the shop calendar, hands and judging sheet.",
  ],
];

/** What each file holds, in plain words. */
export function FileGuide() {
  return (
    <>
      <p className="prose">
        Comma, semicolon or tab between the values; text in UTF-8; dates as 2027-06-19; decimals with a point; money in
        the major unit of its currency. The first line names the columns, and the first column is the code by which
        other files name the row. Blank cells keep to the usual: nothing is guessed.
      </p>
      <dl className="guide">
        {FILES.map(([file, columns, says]) => (
          <div key={file}>
            <dt>{file}</dt>
            <dd>
              {says}
              <span className="columns-named">{columns}</span>
            </dd>
          </div>
        ))}
      </dl>
    </>
  );
}
