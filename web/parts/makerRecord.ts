import { counted, days, plainNumber } from "../shared/format.ts";

interface Record {
  orders: number;
  arrived: number;
  onTime: number;
  averageDaysLate: number | null;
}

interface Expected {
  overdue: number;
  /** Share of what is expected that is the maker's own record, 0 to 1. */
  ownShare: number;
  next: { evenOdds: number; fourInFive: number };
}

/** What the record makes of a quote's lead time: "even odds within 33 days, 4 in 5 within 41, as with makers generally". */
export function expectedWait({ next, ownShare }: Expected): string {
  const whose = ownShare > 0 ? "" : ", as with makers generally";
  return `even odds within ${days(next.evenOdds)}, 4 in 5 within ${plainNumber(next.fourInFive)}${whose}`;
}

/** What is known of a supplier's promises, in words: "4 orders, 3 on time, 9 days late on average". */
export function makerRecord({ orders, arrived, onTime, averageDaysLate }: Record): string {
  if (orders === 0) return "no order with them yet";
  if (arrived === 0) return `${counted(orders, "order")}, none arrived yet`;
  const placed = arrived === orders ? counted(orders, "order") : `${counted(orders, "order")}, ${arrived} arrived`;
  if (onTime === arrived) return `${placed}, ${arrived === 1 ? "on time" : `all ${arrived} on time`}`;
  const late = averageDaysLate === null ? null : Math.round(averageDaysLate * 10) / 10;
  const average =
    late === null
      ? ""
      : `, ${late === 1 ? days(1) : `${plainNumber(late)} days`} late${arrived === 1 ? "" : " on average"}`;
  return `${placed}, ${onTime === 0 ? "none" : plainNumber(onTime)} on time${average}`;
}
