/** When an operation may be called done: what must stand on record first. */
import type { Tx } from "../../store/client.ts";
import { compareCodes } from "../../store/codes.ts";
import { Refused } from "../../store/fault.ts";

const codes = (rows: readonly { code: string }[]): string[] =>
  [...new Set(rows.map((row) => row.code))].sort(compareCodes);

/**
 * Throws {@link Refused} where the operation is not ready to be called done: a predecessor is not,
 * a snag on it is not cleared, or a safety-critical part that it fits has no inspection on record.
 */
export async function mayBeDone(tx: Tx, operationId: string): Promise<void> {
  const before = await tx.operation.findMany({
    where: { after: { some: { afterId: operationId } }, state: { not: "DONE" } },
    select: { code: true },
  });
  if (before.length > 0)
    throw new Refused(
      "PREDECESSOR_NOT_DONE",
      `These operations come first: ${codes(before).join(", ")}.`,
      codes(before),
    );
  const snags = await tx.snag.findMany({ where: { operationId, clearedOn: null }, select: { code: true } });
  if (snags.length > 0)
    throw new Refused("OPEN_SNAG", `Snags found here are not cleared: ${codes(snags).join(", ")}.`, codes(snags));
  await inspected(tx, { operationId });
}

/** Throws {@link Refused} where a part that an operation already done has fitted would be left without an inspection. */
export const stillInspected = (tx: Tx, partId: string): Promise<void> =>
  inspected(tx, { partId, operation: { state: "DONE" } });

async function inspected(
  tx: Tx,
  need: { operationId: string } | { partId: string; operation: { state: "DONE" } },
): Promise<void> {
  const parts = await tx.part.findMany({
    where: { safetyCritical: true, inspections: { none: {} }, needs: { some: need } },
    select: { code: true },
  });
  if (parts.length > 0)
    throw new Refused(
      "INSPECTION_MISSING",
      `Safety-critical parts are fitted only with an inspection on record: ${codes(parts).join(", ")}.`,
      codes(parts),
    );
}
