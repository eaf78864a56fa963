import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { decimalsOf } from "../shared/currency.ts";
import { dateInFull, money } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { Opened, useOpen } from "../shared/Opened.tsx";
import { Section } from "../shared/Page.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { UnsentWords } from "../shared/unsent.tsx";
import { CONDITION, PROVENANCE } from "../shared/words.ts";
import { FindForm } from "./FindForm.tsx";
import type { FieldPart } from "./fieldSheet.ts";
import type { StoredFind, WaitingFind } from "./find.ts";
import { QuoteOfFind } from "./QuoteOfFind.tsx";
import type { WaitingFinds } from "./waiting.ts";

interface FindsProps {
  finds: readonly StoredFind[];
  parts: readonly FieldPart[];
  waiting: WaitingFinds;
  answers: boolean;
}

/** What was seen: first what only this device knows, then what the server holds. */
export function Finds({ finds, parts, waiting, answers }: FindsProps) {
  const open = useOpen();
  const keys = new Set(waiting.rows.map(({ clientKey }) => clientKey));
  const stored = finds.filter(({ clientKey }) => !keys.has(clientKey));
  return (
    <Section
      title="Finds"
      id="finds"
      aside={
        <button type="button" aria-expanded={open.has("new")} onClick={() => open.open("new")}>
          Note a find
        </button>
      }
    >
      {open.has("new") && (
        <Opened>
          <FindForm parts={parts} onKeep={waiting.keep} onClose={() => open.close("new")} />
        </Opened>
      )}
      {waiting.rows.length > 0 && <UnsentWords waiting={waiting} noun="find" />}
      {waiting.rows.length + stored.length === 0 ? (
        <p className="soft">
          Nothing noted yet. What is seen on a stall can be noted here, with or without a connection.
        </p>
      ) : (
        <ul className="finds">
          {waiting.rows.map((find) => (
            <WaitingLine key={find.clientKey} find={find} parts={parts} waiting={waiting} open={open} />
          ))}
          {stored.map((find) => (
            <StoredLine key={find.id} find={find} parts={parts} waiting={waiting} open={open} answers={answers} />
          ))}
        </ul>
      )}
    </Section>
  );
}

type Open = ReturnType<typeof useOpen>;

function WaitingLine({
  find,
  parts,
  waiting,
  open,
}: {
  find: WaitingFind;
  parts: readonly FieldPart[];
  waiting: WaitingFinds;
  open: Open;
}) {
  const restoration = useRestoration();
  const { input } = find;
  const key = `edit:${find.clientKey}`;
  const currency = input.currency ?? restoration.currency;
  const asked =
    input.askedMinor == null
      ? null
      : { minor: input.askedMinor, currency, decimals: decimalsOf(restoration, currency) };
  return (
    <li>
      <h3>{input.what}</h3>
      <p>
        <Mark word="not yet sent" colour="brass" shape="half" />
        {find.partName && <>. For {find.partName}</>}
        {asked && <>. {money(asked)} asked</>}
        {input.seller && <>. {input.seller}</>}
        {input.provenance && <>. {PROVENANCE[input.provenance]}</>}
        {input.condition && <>. {CONDITION[input.condition]}</>}
      </p>
      {input.notes && <p className="find-notes">{input.notes}</p>}
      {find.problem && <p className="form-problem">Not taken: {find.problem} It is kept here.</p>}
      <div className="row no-print">
        <button type="button" aria-expanded={open.has(key)} onClick={() => open.open(key)}>
          Change<span className="unseen"> {input.what}</span>
        </button>
        <button type="button" className="remove" onClick={() => void waiting.drop(find.clientKey)}>
          Throw away<span className="unseen"> {input.what}</span>
        </button>
      </div>
      {open.has(key) && (
        <Opened>
          <FindForm parts={parts} waiting={find} onKeep={waiting.keep} onClose={() => open.close(key)} />
        </Opened>
      )}
    </li>
  );
}

function StoredLine({
  find,
  parts,
  waiting,
  open,
  answers,
}: {
  find: StoredFind;
  parts: readonly FieldPart[];
  waiting: WaitingFinds;
  open: Open;
  answers: boolean;
}) {
  const restoration = useRestoration();
  const edit = `edit:${find.clientKey}`;
  const quote = `quote:${find.clientKey}`;
  return (
    <li>
      <h3>{find.what}</h3>
      <p>
        Seen on {dateInFull(find.foundOn)}
        {find.seller && <>. {find.seller}</>}
        {find.asked && <>. {money(find.asked)} asked</>}
        {find.provenance && <>. {PROVENANCE[find.provenance]}</>}
        {find.condition && <>. {CONDITION[find.condition]}</>}
        {find.part && (
          <>
            . For <Link to={addressOf.part(restoration.id, find.part.id)}>{find.part.name}</Link>
          </>
        )}
      </p>
      {find.notes && <p className="find-notes">{find.notes}</p>}
      {find.quote && (
        <p>
          <Mark word={`became quote ${find.quote.code}`} colour="verdigris" shape="full" />
        </p>
      )}
      <div className="row no-print">
        {!find.quote && (
          <button type="button" disabled={!answers} aria-expanded={open.has(quote)} onClick={() => open.open(quote)}>
            Make it a quote<span className="unseen">: {find.what}</span>
          </button>
        )}
        <button type="button" aria-expanded={open.has(edit)} onClick={() => open.open(edit)}>
          Change<span className="unseen"> {find.what}</span>
        </button>
        {answers && <RemoveButton row="FIND" id={find.id} revision={find.revision} what={find.what} />}
      </div>
      {open.has(quote) && (
        <Opened>
          <QuoteOfFind find={find} parts={parts} onClose={() => open.close(quote)} />
        </Opened>
      )}
      {open.has(edit) && (
        <Opened>
          <FindForm parts={parts} stored={find} onKeep={waiting.keep} onClose={() => open.close(edit)} />
        </Opened>
      )}
    </li>
  );
}
