import { dateInFull, money, oddsThat } from "../shared/format.ts";
import type { Batch } from "./batch.ts";
import { capital, closesIn, morePieces, pieces } from "./batchWords.ts";

/** What would fill the batch and what each then pays; or how it ended. */
export function BatchSentence({ batch, day }: { batch: Batch; day: string }) {
  const { state, outlook, smallest, closesOn } = batch;
  const { needed, putDown, goingAhead, oneMoreSaves, chance, arrivesOn, sizes, room } = outlook;
  if (state === "GOES_AHEAD")
    return (
      <>
        It goes ahead with {pieces(putDown)} at {money(goingAhead.piece)} each; {batch.maker} has them ready about{" "}
        {dateInFull(arrivesOn)}.
      </>
    );
  if (state === "NOT_FILLED")
    return (
      <>
        It closed on {dateInFull(closesOn)}, {pieces(needed)} short of {smallest}: it does not go ahead, and every
        deposit is returned.
      </>
    );
  const closes = `It closes on ${dateInFull(closesOn)}, ${closesIn(day, closesOn)}`;
  if (needed > 0) {
    const after = sizes.find(({ size }) => size === smallest + 1);
    const falls = after !== undefined && after.piece.minor < goingAhead.piece.minor;
    return (
      <>
        <strong>
          {capital(morePieces(needed))} {needed === 1 ? "fills" : "fill"} it
        </strong>
        ; each then pays {money(goingAhead.piece)}
        {falls && ", less with every one after"}. {closes}; {oddsThat("it fills by then", chance)}.
      </>
    );
  }
  return (
    <>
      It is filled: {pieces(putDown)} at {money(goingAhead.piece)} each
      {room === 0
        ? ", and the maker takes no more"
        : oneMoreSaves !== null && oneMoreSaves.minor > 0 && `; one more saves each ${money(oneMoreSaves)}`}
      . {closes}, and the parts come about {dateInFull(arrivesOn)}.
    </>
  );
}
