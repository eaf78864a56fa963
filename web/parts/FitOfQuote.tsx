import { plainNumber } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { FIT_VERDICT, LENGTH_UNIT } from "../shared/words.ts";
import type { Quote } from "./part.ts";

type Fit = Quote["fit"];
type Row = Fit["rows"][number];

const MARKS = {
  FITS: { colour: "verdigris", shape: "full" },
  NEEDS_WORK: { colour: "brass", shape: "half" },
  DOES_NOT_FIT: { colour: "red-lead", shape: "cross" },
  NOT_STATED: { colour: "ink", shape: "broken" },
} as const;

/** Whether what a quote states fits the specification, and by how much not, dimension by dimension. */
export function FitOfQuote({ quote }: { quote: Quote }) {
  const { fit } = quote;
  const worst = deciding(fit);
  return (
    <>
      <Mark word={FIT_VERDICT[fit.verdict]} {...MARKS[fit.verdict]} />
      {worst && <span className="soft small quote-note">{worst}</span>}
      <details className="reckoning">
        <summary>
          Dimension by dimension
          <span className="unseen">
            , quote {quote.code} from {quote.supplier.name}
          </span>
        </summary>
        <ul>
          {fit.rows.map((row) => (
            <li key={row.dimension} className="fit-row">
              <strong>{row.dimension}</strong> <Mark word={FIT_VERDICT[row.verdict]} {...MARKS[row.verdict]} />
              <dl>
                <div>
                  <dt>wanted</dt>
                  <dd>{wanted(row)}</dd>
                </div>
                <div>
                  <dt>stated</dt>
                  <dd>{row.value === null ? "nothing: ask for it" : length(row.value, row)}</dd>
                </div>
                {row.off !== 0 && (
                  <div>
                    <dt>out by</dt>
                    <dd>
                      {length(Math.abs(row.off), row)} too {row.off > 0 ? "large" : "small"}
                    </dd>
                  </div>
                )}
                {row.metal && (
                  <div>
                    <dt>{row.metal.action === "REMOVE" ? "take off" : "put on"}</dt>
                    <dd>{spread(row.metal.least, row.metal.most, row)}</dd>
                  </div>
                )}
              </dl>
            </li>
          ))}
        </ul>
        {fit.notAskedFor.length > 0 && (
          <p className="soft small">Stated, but not in the specification: {fit.notAskedFor.join(", ")}.</p>
        )}
      </details>
    </>
  );
}

const length = (value: number, { unit }: Row): string => `${plainNumber(value, 4)} ${LENGTH_UNIT[unit]}`;

const spread = (least: number, most: number, row: Row): string =>
  plainNumber(least, 4) === plainNumber(most, 4)
    ? length(least, row)
    : `${plainNumber(least, 4)} to ${length(most, row)}`;

const wanted = (row: Row): string => spread(row.least, row.most, row);

/** The figures behind the verdict, in a line: what is furthest out, or how much is not stated. */
function deciding({ verdict, rows }: Fit): string | null {
  const asked = rows.filter((row) => row.verdict === "NOT_STATED").length;
  if (verdict === "NOT_STATED")
    return asked === rows.length ? "no dimension is stated" : `${asked} of ${rows.length} dimensions are not stated`;
  if (verdict === "FITS") return `${rows.length} of ${rows.length} dimensions within their limits`;
  const [worst] = rows
    .filter((row) => row.verdict === verdict)
    .toSorted((a, b) => Math.abs(b.off) / b.most - Math.abs(a.off) / a.most);
  if (!worst) return null;
  const metal = worst.metal
    ? `; ${worst.metal.action === "REMOVE" ? "take off" : "put on"} ${spread(worst.metal.least, worst.metal.most, worst)}`
    : "";
  return `${worst.dimension}: ${length(Math.abs(worst.off), worst)} too ${worst.off > 0 ? "large" : "small"}${metal}`;
}
