import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { Code } from "../shared/Code.tsx";
import { useDayInView } from "../shared/dayInView.ts";
import { dateInFull, days, listed, plainNumber } from "../shared/format.ts";
import { SupplyMark } from "../shared/Mark.tsx";
import { Opened, useOpen } from "../shared/Opened.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { FITS_AS_IT_IS, PROVENANCE } from "../shared/words.ts";
import { inBothUnits } from "./dimension.ts";
import { FindForm } from "./FindForm.tsx";
import { type FieldPart, type FieldSheet, saidByAll, type WalkAway, withoutSaid } from "./fieldSheet.ts";
import type { WaitingFinds } from "./waiting.ts";

interface FieldPartsProps {
  sheet: FieldSheet;
  /** Those to show. */
  parts: readonly FieldPart[];
  waiting: WaitingFinds;
}

/** What to look for, part after part. */
export function FieldParts({ sheet, parts, waiting }: FieldPartsProps) {
  const { id: restoration } = useRestoration();
  const { word } = useDayInView();
  const open = useOpen();
  const cautions = saidByAll(sheet.parts.flatMap(({ safetyCritical, caution }) => (safetyCritical && caution) || []));
  const priced = saidByAll(Object.values(sheet.walkAways).flatMap((ones) => ones.map(({ words }) => words)));
  const anyPriced = Object.values(sheet.walkAways).some((ones) => ones.some(({ price }) => price !== null));
  return (
    <>
      {cautions.length > 0 && <p className="caution">Safety-critical parts. {cautions.join(" ")}</p>}
      {(anyPriced || priced.length > 0) && (
        <p className="soft">{[...(anyPriced ? [FITS_AS_IT_IS] : []), ...priced].join(" ")}</p>
      )}
      <ol className="field-parts">
        {parts.map((part) => (
          <li key={part.id}>
            <h3>
              <Link to={addressOf.part(restoration, part.id)}>{part.name}</Link>
              {part.quantity > 1 && <span className="field-quantity"> × {plainNumber(part.quantity)}</span>}
            </h3>
            <p className="field-line">
              <Code noun="part" of={part.code} /> <SupplyMark of={part.outlook} />
              <span>{gainOf(part, word)}</span>
            </p>
            {part.notes && <p className="field-notes">{part.notes}</p>}
            {part.references.length > 0 && (
              <dl className="field-facts">
                {part.references.map((reference) => (
                  <div key={reference.id}>
                    <dt>{reference.book}</dt>
                    <dd className="code">{reference.number}</dd>
                  </div>
                ))}
              </dl>
            )}
            {part.specification.length > 0 && (
              <dl className="field-facts">
                {part.specification.map((row) => (
                  <div key={row.id}>
                    <dt>{row.dimension}</dt>
                    <dd>{inBothUnits(row)}</dd>
                  </div>
                ))}
              </dl>
            )}
            {part.safetyCritical && part.caution && (
              <p className="caution">
                {["Safety-critical.", withoutSaid(part.caution, cautions)].filter(Boolean).join(" ")}
              </p>
            )}
            <WalkAways of={sheet.walkAways[part.id] ?? []} said={priced} />
            <div className="row no-print">
              <button type="button" aria-expanded={open.has(part.id)} onClick={() => open.open(part.id)}>
                Note a find<span className="unseen"> for {part.name}</span>
              </button>
            </div>
            {open.has(part.id) && (
              <Opened>
                <FindForm parts={sheet.parts} part={part} onKeep={waiting.keep} onClose={() => open.close(part.id)} />
              </Opened>
            )}
          </li>
        ))}
      </ol>
    </>
  );
}

function gainOf({ outlook: { state, daysGained, needBy } }: FieldPart, word: string): string {
  if (state === "NO_SOURCE") return needBy ? `need-by date ${dateInFull(needBy)}, or the end moves` : "";
  return daysGained ? `${days(daysGained)} sooner ready as quoted, if it were found ${word}` : "";
}

/** Provenances that are worth the same stand in one line. */
function WalkAways({ of, said }: { of: readonly WalkAway[]; said: readonly string[] }) {
  if (of.length === 0) return null;
  const alike = new Map<string, WalkAway[]>();
  for (const one of of) {
    const key = `${one.price?.minor} ${one.words}`;
    alike.set(key, [...(alike.get(key) ?? []), one]);
  }
  return (
    <dl className="walk-aways">
      {[...alike].map(([key, ones]) => (
        <div key={key}>
          <dt>{listed(ones.map(({ provenance }) => PROVENANCE[provenance]))}</dt>
          <dd>{withoutSaid(ones[0]?.words ?? "", said)}</dd>
        </div>
      ))}
    </dl>
  );
}
