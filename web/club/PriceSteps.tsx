import { money } from "../shared/format.ts";
import { Table } from "../shared/Table.tsx";
import type { Batch } from "./batch.ts";
import { pieces } from "./batchWords.ts";
import { stepsOf } from "./priceSteps.ts";

const pct = (part: number): string => `${(part * 100).toFixed(3)}%`;

/** What a piece costs at each size, as a line in steps with the size put down for now and one more marked; and as a table. */
export function PriceSteps({ batch }: { batch: Batch }) {
  const { smallest, outlook } = batch;
  const { sizes, now } = outlook;
  // Once it has closed no piece can come to it.
  const withOneMore = batch.state === "TAKING_NAMES" ? outlook.withOneMore : null;
  const [any] = sizes;
  if (!any) return null;
  const layout = stepsOf(
    sizes.map(({ size, piece }) => ({ size, piece: piece.minor })),
    smallest,
  );
  const shown = (size: number | undefined): size is number => sizes.some((one) => one.size === size);
  const price = (minor: number) => money({ ...any.piece, minor });
  const marks = [
    ...(now && shown(now.size) ? [{ size: now.size, look: "now" }] : []),
    ...(withOneMore && shown(withOneMore.size) ? [{ size: withOneMore.size, look: "more" }] : []),
  ];
  return (
    <>
      <figure className="price-steps">
        <div className="price-steps-scale" aria-hidden="true">
          <span>{price(layout.high)}</span>
          {layout.low !== layout.high && <span>{price(layout.low)}</span>}
        </div>
        <div className="price-steps-field" aria-hidden="true">
          <svg aria-hidden="true" viewBox="0 0 1000 1000" preserveAspectRatio="none">
            {layout.short !== null && (
              <>
                <rect className="short" x="0" y="0" width={layout.short * 1000} height="1000" />
                <line className="smallest" x1={layout.short * 1000} x2={layout.short * 1000} y1="0" y2="1000" />
              </>
            )}
            <path className="steps" d={layout.path} />
          </svg>
          {marks.map(({ size, look }) => (
            <span
              key={look}
              className={`mark-${look}`}
              style={{ left: pct(layout.at(size).x), top: pct(layout.at(size).y) }}
            />
          ))}
        </div>
        <div className="price-steps-sizes" aria-hidden="true">
          {layout.ticks.map((size) => (
            <span key={size} style={{ left: pct(layout.at(size).x) }}>
              {size}
            </span>
          ))}
        </div>
        <figcaption>
          {now && (
            <span>
              <i className="mark-now" /> {batch.state === "TAKING_NAMES" ? "now" : "when it closed"}, {pieces(now.size)}
              : {money(now.piece)} each
            </span>
          )}
          {withOneMore && (
            <span>
              <i className="mark-more" /> with one more: {money(withOneMore.piece)} each
            </span>
          )}
          {layout.short !== null && (
            <span>
              <i className="mark-short" /> short of {smallest}, so it does not go ahead
            </span>
          )}
        </figcaption>
      </figure>
      <details className="club-table">
        <summary>The same as a table</summary>
        <Table
          caption="What a piece costs at each size"
          rows={sizes}
          rowKey={({ size }) => String(size)}
          columns={[
            {
              id: "size",
              title: "Pieces put down for",
              lead: true,
              cell: ({ size }) => (
                <>
                  {pieces(size)}
                  {size === now?.size && (
                    <span className="club-under">
                      {batch.state === "TAKING_NAMES" ? "put down for now" : "put down for when it closed"}
                    </span>
                  )}
                  {size === smallest && <span className="club-under">smallest that goes ahead</span>}
                </>
              ),
            },
            { id: "piece", title: "Each costs", numeric: true, cell: ({ piece }) => money(piece) },
            { id: "total", title: "The batch costs", numeric: true, cell: ({ total }) => money(total) },
            { id: "cast", title: "Castings made", numeric: true, cell: ({ cast }) => String(cast) },
          ]}
        />
      </details>
    </>
  );
}
