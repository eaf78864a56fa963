import type { ReactNode } from "react";
import { Mark } from "../shared/Mark.tsx";
import { type Open, OpenButton, Opened } from "../shared/Opened.tsx";
import { useClub } from "./club.ts";
import { HideForm, ReportForm, type RowKind, ShowAgainButton } from "./ReportForm.tsx";

interface RowActionsProps {
  row: { id: string; own: boolean; hiddenReason: string | null };
  kind: RowKind;
  /** How the row is called: "source S-4". */
  what: string;
  open: Open;
}

/** What may be done about a row that somebody posted: others report it, an admin hides it or shows it again. */
export function RowActions({ row, kind, what, open }: RowActionsProps) {
  const { admin } = useClub();
  return (
    <>
      {!row.own && row.hiddenReason === null && (
        <OpenButton of={open} opens={`report ${row.id}`}>
          Report<span className="unseen"> {what}</span>
        </OpenButton>
      )}
      {admin &&
        (row.hiddenReason === null ? (
          !row.own && (
            <OpenButton of={open} opens={`hide ${row.id}`}>
              Hide<span className="unseen"> {what}</span>
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
  const [report, hide] = [`report ${row.id}`, `hide ${row.id}`];
  if (open.has(report))
    return (
      <Opened>
        <ReportForm kind={kind} id={row.id} what={what} onDone={() => open.close(report)} />
      </Opened>
    );
  if (open.has(hide))
    return (
      <Opened>
        <HideForm kind={kind} id={row.id} what={what} onDone={() => open.close(hide)} />
      </Opened>
    );
  return null;
}

/** Says on a hidden row that it is hidden, and why. Those who may not know never get the row. */
export function Hidden({ reason }: { reason: string | null }) {
  if (reason === null) return null;
  return (
    <span className="club-hidden">
      <Mark word="hidden from the club" colour="red-lead" shape="cross" />: {reason}
    </span>
  );
}
