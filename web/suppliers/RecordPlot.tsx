import { codeInWords } from "../shared/Code.tsx";
import { days } from "../shared/format.ts";
import { type Delivery, marksOf, type SupplierRecord } from "./record.ts";
import "./suppliers.css";

const WIDE = 600;
const TALL = 120;

/**
 * Actual over promised, from left to right: what is expected of this maker and of makers generally above the line, and
 * below it each delivery in the order in which they were placed. The tables beside it say the same.
 */
export function RecordPlot({ record, deliveries }: { record: SupplierRecord; deliveries: readonly Delivery[] }) {
  const { curve } = record;
  const from = curve[0]!.ratio;
  const to = curve.at(-1)!.ratio;
  const at = (ratio: number) => Math.min(1, Math.max(0, Math.log(ratio / from) / Math.log(to / from)));
  const most = Math.max(...curve.flatMap(({ maker, general }) => [maker, general]));
  const line = (density: "maker" | "general") =>
    curve
      .map(
        (point, place) =>
          `${place === 0 ? "M" : "L"}${(at(point.ratio) * WIDE).toFixed(1)} ${((1 - point[density] / most) * TALL).toFixed(1)}`,
      )
      .join("");
  const percent = (ratio: number) => `${(at(ratio) * 100).toFixed(2)}%`;
  return (
    <figure className="record-plot" aria-hidden="true">
      <div className="record-scale">
        <span className="record-promise" style={{ left: percent(1) }} />
        <svg aria-hidden="true" viewBox={`0 -3 ${WIDE} ${TALL + 3}`} preserveAspectRatio="none">
          <path className="maker-fill" d={`${line("maker")}L${WIDE} ${TALL}L0 ${TALL}Z`} />
          <path className="general" d={line("general")} />
          <path className="maker" d={line("maker")} />
        </svg>
        {deliveries.length > 0 && (
          <ol className="record-deliveries">
            {deliveries.toReversed().map(({ order, ratio, promisedDays, actualDays }) => (
              <li key={order.id}>
                <span
                  className={ratio > 1 ? "delivery late" : "delivery"}
                  style={{ left: percent(ratio) }}
                  title={`${codeInWords("order", order.code)}: promised in ${days(promisedDays)}, took ${days(actualDays)}`}
                />
              </li>
            ))}
          </ol>
        )}
        <div className="record-marks">
          {marksOf(from, to).map(({ ratio, words }) => (
            <span key={ratio} style={{ left: percent(ratio) }}>
              {words}
            </span>
          ))}
        </div>
      </div>
      <figcaption>
        <span>
          <span className="key maker" /> expected of their next delivery
        </span>
        <span>
          <span className="key general" /> of makers generally
        </span>
        {deliveries.length > 0 && (
          <span>
            <span className="delivery" /> in time <span className="delivery late" /> late: their deliveries, first above
          </span>
        )}
      </figcaption>
    </figure>
  );
}
