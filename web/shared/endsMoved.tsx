import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { dateInFull, days, daysBetween } from "./format.ts";

export const EndMovedParts = graphql(`
  fragment EndMovedParts on EndMoved @_unmask { restoration { id machine } before after }
`);

/** When each machine ends as it is, and as it would be. */
export function EndsMoved({ ends }: { ends: readonly ResultOf<typeof EndMovedParts>[] }) {
  return (
    <ul>
      {ends.map(({ restoration: { id, machine }, before, after }) => (
        <li key={id}>
          {machine}: {before === null || after === null ? "no plan can be made of its work" : moved(before, after)}
        </li>
      ))}
    </ul>
  );
}

function moved(before: string, after: string) {
  const later = daysBetween(before, after);
  if (later === 0) return `${dateInFull(before)}, as it is now`;
  return (
    <>
      <strong>{dateInFull(after)}</strong>, {days(Math.abs(later))} {later > 0 ? "later" : "sooner"} than{" "}
      {dateInFull(before)} now
    </>
  );
}
