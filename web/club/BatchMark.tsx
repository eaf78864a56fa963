import { Mark } from "../shared/Mark.tsx";
import { BATCH_STATE, type BatchRow } from "./batch.ts";

/** Whether a batch takes names, is filled, goes ahead or was not filled. */
export function BatchMark({ batch: { state, outlook } }: { batch: Pick<BatchRow, "state" | "outlook"> }) {
  if (state === "GOES_AHEAD") return <Mark word={BATCH_STATE.GOES_AHEAD} colour="verdigris" shape="full" />;
  if (state === "NOT_FILLED") return <Mark word={BATCH_STATE.NOT_FILLED} colour="ink" shape="cross" />;
  return outlook.needed === 0 ? (
    <Mark word="taking names, filled" colour="verdigris" shape="half" />
  ) : (
    <Mark word={BATCH_STATE.TAKING_NAMES} colour="brass" shape="empty" />
  );
}
