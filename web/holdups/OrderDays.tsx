import { useDayInView } from "../shared/dayInView.ts";
import { dateInFull, oddsTimes } from "../shared/format.ts";
import type { HoldUpsData } from "./rows.ts";

/** What the order-by dates keep, and with what chance. */
export function OrderDays({
  figuresFor,
  confidence,
  orderDays,
}: Pick<HoldUpsData, "figuresFor" | "confidence" | "orderDays">) {
  const { word } = useDayInView(figuresFor);
  if (!orderDays || confidence === null)
    return (
      <p className="soft">
        Order-by dates are as promised: they leave the end where it is if every maker keeps to the day. Ask above for
        dates that hold with odds.
      </p>
    );
  const { own, target } = orderDays;
  return (
    <p className="said">
      {own.held ? (
        <>
          Ordered on these dates, everything together keeps {dateInFull(own.end)} {oddsTimes(own.chance ?? confidence)}.
        </>
      ) : (
        <>
          Even ordering everything {word} keeps {dateInFull(own.end)} {oddsTimes(own.chanceAtOnce)}
          {own.chanceAtOnce > 0 && " only"}.{" "}
          {own.heldEnd && own.chance !== null ? (
            <>
              Ordered on these dates, none of them later than as promised, everything together keeps{" "}
              <strong>
                {dateInFull(own.heldEnd)}, {oddsTimes(own.chance)}
              </strong>
              .
            </>
          ) : (
            `No end holds ${oddsTimes(confidence)}: something may fail with nothing to replace it.`
          )}
        </>
      )}
      {target &&
        (target.held
          ? " The latest order dates that still make the target are beside them."
          : ` The target of ${dateInFull(target.end)} is not held: ordering everything ${word} keeps it ${oddsTimes(target.chanceAtOnce)}.`)}
      {own.chance !== null &&
        " A week later says what is left of those odds where that one alone goes out a week late."}
    </p>
  );
}
