import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { Code } from "../shared/Code.tsx";
import { listed } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";

/** Path of a hexagon bolt head, from its left corner: in drawings it marks what lies on the critical path to the last bolt. */
export const BOLT_HEAD = "l3.5-6h7l3.5 6-3.5 6h-7z";

/** On the critical path. */
export function CriticalMark() {
  return <Mark word="critical" colour="red-lead" shape="full" />;
}

/** Waits for parts without a source or snags without a remedy, so its dates hold only once those are cleared. */
export function OpenMark({
  of: { waitsForOpen, lacking },
}: {
  of: { waitsForOpen: string[]; lacking: string | null };
}) {
  return (
    <span className="waits-for-open">
      <Mark word={`${lacking}: ${listed(waitsForOpen, 2)}`} colour="red-lead" shape="broken" />
    </span>
  );
}

/** Code and title of an operation, leading to its page. */
export function OperationLink({
  restoration,
  of,
}: {
  restoration: string;
  of: { id: string; code: string; title: string };
}) {
  return (
    <Link to={addressOf.operation(restoration, of.id)}>
      <Code noun="operation" of={of.code} /> {of.title}
    </Link>
  );
}
