import { useId } from "react";
import { money } from "../shared/format.ts";
import { BUCKET_WORDS, BUCKETS, monthInFull } from "./buckets.ts";
import type { MoneyData } from "./documents.ts";
import { fillOf, Patterns, Swatch } from "./Swatch.tsx";

const HEIGHT = 190;

/** One column a month, as planned. The table below says the same. */
export function Months({ of }: { of: MoneyData }) {
  const id = useId();
  const { byMonth, figuresFor, received } = of.exposure;
  const months = byMonth.edges.flatMap(({ node }) => (node.key === null ? [] : [{ ...node, key: node.key }]));
  const heights = months.map(({ buckets }) => BUCKETS.reduce((sum, b) => sum + Math.max(0, buckets[b].planned), 0));
  const most = Math.max(...heights, 1);
  if (months.length < 2) return null;
  const used = BUCKETS.filter((bucket) => months.some(({ buckets }) => buckets[bucket].planned > 0));
  const step = 100 / months.length;
  const every = Math.ceil(months.length / 6);
  return (
    <figure className="months">
      <svg width="100%" height={HEIGHT + 44} aria-hidden="true">
        <Patterns id={id} />
        {months.map(({ key, buckets }, place) => {
          let below = 0;
          const x = `${place * step + step * 0.12}%`;
          return (
            <g key={key}>
              {BUCKETS.map((bucket) => {
                const height = (Math.max(0, buckets[bucket].planned) / most) * HEIGHT;
                below += height;
                return (
                  height > 0 && (
                    <rect
                      key={bucket}
                      x={x}
                      y={HEIGHT - below + 16}
                      width={`${step * 0.76}%`}
                      height={height}
                      strokeWidth="1"
                      {...fillOf(id, bucket)}
                    >
                      <title>{`${monthInFull(key)}, ${BUCKET_WORDS[bucket].name}: ${money({ ...received, minor: buckets[bucket].planned })}`}</title>
                    </rect>
                  )
                );
              })}
              {key === figuresFor.slice(0, 7) && (
                <text x={`${(place + 0.5) * step}%`} y={HEIGHT - below + 10} textAnchor="middle">
                  now
                </text>
              )}
              {place % every === 0 && (
                <text x={`${(place + 0.5) * step}%`} y={HEIGHT + 36} textAnchor="middle">
                  {monthInFull(key).slice(0, 3)} {key.slice(2, 4)}
                </text>
              )}
            </g>
          );
        })}
        <line className="base" x1="0" x2="100%" y1={HEIGHT + 16} y2={HEIGHT + 16} />
      </svg>
      <figcaption aria-hidden="true">
        <ul className="month-key">
          {used.map((bucket) => (
            <li key={bucket}>
              <Swatch id={id} bucket={bucket} /> {BUCKET_WORDS[bucket].name}
            </li>
          ))}
          <li>
            Highest: {money({ ...received, minor: most })} in {monthInFull(months[heights.indexOf(most)]?.key ?? null)}
          </li>
        </ul>
      </figcaption>
    </figure>
  );
}
