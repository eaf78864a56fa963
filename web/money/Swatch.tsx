import type { Bucket } from "./buckets.ts";

/** The patterns by which the parts of a drawn sum are told apart, whatever the colours do. */
export function Patterns({ id }: { id: string }) {
  return (
    <defs>
      <Pattern id={`${id}-owed`} colour="var(--ink)" d="M0 8 8 0M-2 2 2-2M6 10l4-4" />
      <Pattern id={`${id}-undecided`} colour="var(--brass)" d="M0 8 8 0M-2 2 2-2M6 10l4-4" />
      <Pattern id={`${id}-unsourced`} colour="var(--brass)" d="M2 2h.01M6 6h.01" width={2.5} />
      <Pattern id={`${id}-labourDone`} colour="var(--verdigris)" d="M0 2h8M0 6h8" />
      <Pattern id={`${id}-labourToGo`} colour="var(--verdigris)" d="M2 0v8M6 0v8" width={1} />
    </defs>
  );
}

function Pattern({ id, colour, d, width = 1.75 }: { id: string; colour: string; d: string; width?: number }) {
  return (
    <pattern id={id} width="8" height="8" patternUnits="userSpaceOnUse">
      <path d={d} stroke={colour} strokeWidth={width} strokeLinecap="round" fill="none" />
    </pattern>
  );
}

/** Fill and outline of a part of a sum, from the patterns of one drawing. */
export function fillOf(id: string, bucket: Bucket): { fill: string; stroke: string } {
  const stroke =
    bucket === "paid" || bucket === "owed"
      ? "var(--ink)"
      : bucket === "labourDone" || bucket === "labourToGo"
        ? "var(--verdigris)"
        : "var(--brass)";
  if (bucket === "paid") return { fill: "var(--ink)", stroke };
  if (bucket === "chosen") return { fill: "var(--brass)", stroke };
  return { fill: `url(#${id}-${bucket})`, stroke };
}

/** A small piece of the pattern, beside its word. */
export function Swatch({ id, bucket }: { id: string; bucket: Bucket }) {
  return (
    <svg className="swatch" viewBox="0 0 28 14" width="28" height="14" aria-hidden="true">
      <rect x="0.75" y="0.75" width="26.5" height="12.5" strokeWidth="1.25" {...fillOf(id, bucket)} />
    </svg>
  );
}
