import { useId } from "react";
import { money } from "../shared/format.ts";
import { BUCKET_WORDS, type Bucket, countedOf, figure, isNothing, range } from "./buckets.ts";
import type { Exposed } from "./documents.ts";
import { fillOf, Patterns, Swatch } from "./Swatch.tsx";
import "./money.css";

const BAR = { top: 30, height: 44, below: 30 };

/** One bar: what is paid, owed and to come, against the cap. The key beside it says the same in words. Without a cap, nothing of nothing. */
export function CapBar({ of }: { of: Exposed }) {
  const id = useId();
  const { exposure, cap, capCoversLabour } = of;
  const { buckets, counted, total } = exposure;
  if (cap === null && isNothing(total)) return null;
  const shown = countedOf(cap === null || capCoversLabour);
  const sum = cap === null ? total : counted;
  const inCurrency = exposure.invoiced;
  const most = Math.max(cap?.minor ?? 0, sum.high, 1) * 1.02;
  const at = (minor: number): string => `${(Math.max(0, minor) / most) * 100}%`;
  let from = 0;
  const pieces = shown.flatMap((bucket): { bucket: Bucket; x: number; width: number }[] => {
    const width = Math.max(0, buckets[bucket].planned);
    const x = from;
    from += width;
    return width > 0 ? [{ bucket, x, width }] : [];
  });
  const over = cap !== null && sum.planned > cap.minor;
  const capAt = cap === null ? 0 : cap.minor / most;
  const { top, height, below } = BAR;
  return (
    <figure className="cap-bar">
      <svg width="100%" height={top + height + below} aria-hidden="true">
        <Patterns id={id} />
        {pieces.map(({ bucket, x, width }) => (
          <rect
            key={bucket}
            x={at(x)}
            y={top}
            width={at(width)}
            height={height}
            strokeWidth="1.25"
            {...fillOf(id, bucket)}
          />
        ))}
        {over && <rect className="over" x={at(cap.minor)} y={top - 7} width={at(sum.planned - cap.minor)} height="6" />}
        {sum.high > sum.planned && (
          <g className="reach">
            <line x1={at(sum.planned)} x2={at(sum.high)} y1={top + height / 2} y2={top + height / 2} />
            <line x1={at(sum.high)} x2={at(sum.high)} y1={top + height / 2 - 8} y2={top + height / 2 + 8} />
          </g>
        )}
        <line className="base" x1="0" x2="100%" y1={top + height} y2={top + height} />
        {cap !== null && (
          <g className="cap">
            <line x1={at(cap.minor)} x2={at(cap.minor)} y1={top - 12} y2={top + height + 8} />
            <text x={at(cap.minor)} y={top - 16} textAnchor={capAt > 0.5 ? "end" : "start"}>
              cap {money(cap)}
            </text>
          </g>
        )}
        <text x="0" y={top + height + 22}>
          {money({ ...inCurrency, minor: 0 })}
        </text>
        {sum.high > sum.planned && (
          <text x={at(sum.high)} y={top + height + 22} textAnchor="end">
            at most {money({ ...inCurrency, minor: sum.high })}
          </text>
        )}
      </svg>
      <figcaption>
        <table className="cap-key">
          <caption className="unseen">
            {cap === null ? "What the money comes to" : "What counts against the cap"}
          </caption>
          <thead className="unseen">
            <tr>
              <th scope="col">What</th>
              <th scope="col">Amount</th>
            </tr>
          </thead>
          <tbody>
            {shown.map((bucket) => (
              <tr key={bucket}>
                <th scope="row">
                  <Swatch id={id} bucket={bucket} /> {BUCKET_WORDS[bucket].name}
                </th>
                <td className="number">{range(buckets[bucket], inCurrency)}</td>
              </tr>
            ))}
            <tr className="sum">
              <th scope="row">{cap === null ? "All of it" : "Counts against the cap"}</th>
              <td className="number">{range(sum, inCurrency)}</td>
            </tr>
            {cap !== null && (
              <>
                <tr>
                  <th scope="row">As planned</th>
                  <td className="number">{figure(sum.planned, sum, inCurrency)}</td>
                </tr>
                <tr>
                  <th scope="row">Cap</th>
                  <td className="number">{money(cap)}</td>
                </tr>
                <tr>
                  <th scope="row">{over ? "Over the cap, as planned" : "Left under the cap, as planned"}</th>
                  <td className={`number${over ? " late" : ""}`}>
                    {money({ ...cap, minor: Math.abs(cap.minor - sum.planned) })}
                  </td>
                </tr>
              </>
            )}
          </tbody>
        </table>
      </figcaption>
    </figure>
  );
}
