import { Link } from "react-router";
import { dateInFull, lateBy, money, points } from "../shared/format.ts";
import { awardLeft, costAgainst, WITHIN_CAP } from "./amounts.ts";
import type { ChoicesFound, PlanRow } from "./documents.ts";
import { capApart } from "./Plot.tsx";

interface OpeningProps {
  found: ChoicesFound;
  plans: readonly PlanRow[];
  address: (plan: number) => string;
}

/** What is planned, what could be had instead, and whether target and cap can be kept. */
export function Opening({ found, plans, address }: OpeningProps) {
  const { inForce } = found;
  return (
    <>
      As planned: ready <strong>{dateInFull(inForce.date)}</strong>,{" "}
      {inForce.cost ? <strong className="money">{money(inForce.cost)}</strong> : "an unknown sum"} to spend
      {inForce.cost && inForce.landed && inForce.cost.minor !== inForce.landed.minor && " with our own hours"},{" "}
      {inForce.counted && capApart(found, plans) && (
        <>
          <span className="money">{money(inForce.counted)}</span> of it against the cap,{" "}
        </>
      )}
      <strong>{points(inForce.pointsLost)}</strong> lost{awardLeft(inForce)}.{" "}
      <Better found={found} plans={plans} address={address} />
      <Limits found={found} plans={plans} address={address} />
      <CapLeaves found={found} />
    </>
  );
}

/** How much of the cap these choices may cost, and what the rest of it is for. */
function CapLeaves({ found: { cap, capLeft, committed, heldBack } }: { found: ChoicesFound }) {
  if (!cap || !capLeft) return null;
  return (
    <>
      {" "}
      Of the cap of {money(cap)}, {money(committed)} is paid or owed
      {heldBack.minor === 0 ? "" : ` and ${money(heldBack)} held back for what is not chosen here`}:{" "}
      <span className={`money${capLeft.minor < 0 ? " late" : ""}`}>
        {capLeft.minor < 0
          ? `it is passed by ${money({ ...capLeft, minor: -capLeft.minor })}`
          : `${money(capLeft)} is left for these choices`}
      </span>
      .
    </>
  );
}

/** The next earlier date at its least cost; else the same for less. */
function Better({ found, plans, address }: OpeningProps) {
  const { date, cost, pointsLost } = found.inForce;
  if (!cost) return null;
  const least = (some: readonly PlanRow[]) =>
    some.reduce<PlanRow | undefined>(
      (best, one) => (best && best.cost.minor <= one.cost.minor ? best : one),
      undefined,
    );
  const earlier = plans.filter((plan) => plan.date < date);
  const next = least(earlier);
  if (next)
    return (
      <>
        <Link to={address(next.number)}>{dateInFull(next.date)}</Link> can be had for {costAgainst(next, found)}
        {next.pointsLost === pointsLost ? "" : `, with ${points(next.pointsLost)} lost`}.{" "}
      </>
    );
  const same = least(plans.filter((plan) => plan.date <= date && plan.pointsLost <= pointsLost));
  if (!same || same.cost.minor >= cost.minor) return null;
  return (
    <>
      The same day and no more points lost <Link to={address(same.number)}>can be had</Link> for{" "}
      {costAgainst(same, found)}.{" "}
    </>
  );
}

function Limits({ found, plans, address }: OpeningProps) {
  const { targetDate, capLeft, answers } = found;
  if (!targetDate) return null;
  const earliest = plans[0];
  const { cheapestByTarget, mostPointsWithinBoth } = answers;
  if (!cheapestByTarget.plan)
    return earliest && earliest.daysLate !== null && earliest.daysLate > 0 ? (
      <>
        <span className="late">No plan makes {dateInFull(targetDate)}</span>: the earliest is{" "}
        {lateBy(earliest.daysLate)}.
      </>
    ) : null;
  const over = mostPointsWithinBoth.misses.find(({ limit }) => limit === "COST")?.withOthers ?? 0;
  if (!mostPointsWithinBoth.plan && capLeft && over > 0)
    return (
      <>
        <span className="late">
          No plan makes {dateInFull(targetDate)} {WITHIN_CAP}
        </span>
        : <Link to={address(cheapestByTarget.plan.number)}>the cheapest</Link> exceeds it by{" "}
        <span className="money">{money({ ...capLeft, minor: over })}</span>.
      </>
    );
  return (
    <>
      <Link to={address(cheapestByTarget.plan.number)}>{dateInFull(targetDate)} can be kept</Link>
      {capLeft && mostPointsWithinBoth.plan ? ` ${WITHIN_CAP}` : ""}.
    </>
  );
}
