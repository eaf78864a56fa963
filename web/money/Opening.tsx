import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { counted, money } from "../shared/format.ts";
import { useRestoration } from "../shared/restoration.ts";
import { AllOfIt } from "./AllOfIt.tsx";
import { BUCKETS, figure, isLabour, together } from "./buckets.ts";
import type { MoneyData } from "./documents.ts";

const TO_COME = ["chosen", "undecided", "unsourced"] as const;

/** What is spent, owed and still to come, against the cap, and what has no figure. */
export function Opening({ of }: { of: MoneyData }) {
  const { id } = useRestoration();
  const { exposure, cap, capCoversLabour } = of;
  const { buckets, counted: sum, total, capLeft, unpriced, received } = exposure;
  const cash = (minor: number) => money({ ...received, minor });
  const toCome = together(buckets, TO_COME);
  const labour = together(buckets, BUCKETS.filter(isLabour));
  const over = capLeft !== null && capLeft.minor < 0;
  if (total.high === 0 && total.unknown === 0)
    return (
      <>
        No money is spent, owed or planned yet. Prices come with the quotes of{" "}
        <Link to={addressOf.parts(id)}>parts</Link>, labour with the hours of <Link to={addressOf.work(id)}>work</Link>.
      </>
    );
  return (
    <>
      {cash(buckets.paid.planned)} is paid, {figure(buckets.owed.planned, buckets.owed, received)} owed, and{" "}
      {figure(toCome.planned, toCome, received)} still to come for parts and work outside.{" "}
      {cap !== null && capLeft !== null && (
        <>
          {capCoversLabour ? "With labour that" : "That"} makes {figure(sum.planned, sum, received)} against the cap of{" "}
          {money(cap)}:{" "}
          <strong className={over ? "late" : undefined}>
            {money({ ...capLeft, minor: Math.abs(capLeft.minor) })} {over ? "over it" : "under it"}
          </strong>
          .{" "}
        </>
      )}
      {cap !== null && !capCoversLabour && (
        <>Labour is counted beside the cap: {figure(labour.planned, labour, received)}, done and to go. </>
      )}
      All of it runs <AllOfIt of={of} payer={`${of.owner || "The owner"} has`} />{" "}
      {unpriced.totalCount > 0 && (
        <strong className="late">
          {counted(unpriced.totalCount, "line has", "lines have")} no figure, so the sums are at least so much.
        </strong>
      )}
    </>
  );
}
