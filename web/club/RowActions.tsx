import type { ReactNode } from "react";
import { Mark } from "../shared/Mark.tsx";
import { type Open, OpenButton, Opened } from "../shared/Opened.tsx";
import { ComplaintForm, type RowKind, ShowAgainButton, WithholdForm } from "./ComplaintForm.tsx";
import { useClub } from "./club.ts";

interface RowActionsProps {
  row: { id: string; own: boolean; withheldReason: string | null };
  kind: RowKind;
  /** How the row is called: "source S-4". */
  what: string;
  open: Open;
}

/** What may be done about a row that somebody entered: others say what is wrong, a steward withholds it or shows it again. */
export function RowActions({ row, kind, what, open }: RowActionsProps) {
  const { steward } = useClub();
  return (
    <>
      {!row.own && row.withheldReason === null && (
        <OpenButton of={open} opens={`wrong ${row.id}`}>
          Say what is wrong<span className="unseen"> with {what}</span>
        </OpenButton>
      )}
      {steward &&
        (row.withheldReason === null ? (
          !row.own && (
            <OpenButton of={open} opens={`withhold ${row.id}`}>
              Withhold<span className="unseen"> {what}</span>
            </OpenButton>
          )
        ) : (
          <ShowAgainButton kind={kind} id={row.id} what={what} />
        ))}
    </>
  );
}

/** The form that one of the actions opened; null where none is open. */
export function openedAction({ row, kind, what, open }: RowActionsProps): ReactNode {
  const [wrong, withhold] = [`wrong ${row.id}`, `withhold ${row.id}`];
  if (open.has(wrong))
    return (
      <Opened>
        <ComplaintForm kind={kind} id={row.id} what={what} onDone={() => open.close(wrong)} />
      </Opened>
    );
  if (open.has(withhold))
    return (
      <Opened>
        <WithholdForm kind={kind} id={row.id} what={what} onDone={() => open.close(withhold)} />
      </Opened>
    );
  return null;
}

/** Says on a withheld row that it is withheld, and why. Those who may not know never get the row. */
export function Withheld({ reason }: { reason: string | null }) {
  if (reason === null) return null;
  return (
    <span className="club-withheld">
      <Mark word="withheld from the club" colour="red-lead" shape="cross" />: {reason}
    </span>
  );
}
