import { Mark } from "../shared/Mark.tsx";
import { BATCH_STATE, type BatchRow } from "./batch.ts";

/** Whether a batch is open, filled, going ahead or has failed. */
export function BatchMark({ batch: { state, standing } }: { batch: Pick<BatchRow, "state" | "standing"> }) {
  if (state === "CLOSED") return <Mark word={BATCH_STATE.CLOSED} colour="verdigris" shape="full" />;
  if (state === "FAILED") return <Mark word={BATCH_STATE.FAILED} colour="ink" shape="cross" />;
  return standing.needed === 0 ? (
    <Mark word="open, filled" colour="verdigris" shape="half" />
  ) : (
    <Mark word={BATCH_STATE.OPEN} colour="brass" shape="empty" />
  );
}
