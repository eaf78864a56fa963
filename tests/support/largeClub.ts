/** A generated club, written straight to the store: for the benchmark. The same each time. */
import { addDays } from "../../server/engine/time/date.ts";
import type { Store } from "../../server/store/client.ts";
import { seeded } from "./networks.ts";

const DAY = "2026-11-23";
const LETTERS = "bcdfglmnprstvw";
const PARTS =
  "axle beam|bearing|belt rim|bonnet catch|brake band|brake shoe|bush|cam|camshaft|carburettor|chain wheel|clutch cone|clutch lining|connecting rod|crankcase|crankpin|cylinder barrel|drip feed|exhaust manifold|float chamber|flywheel|fork|gear set|gearbox casing|hand pump|headlamp|hood stick|horn|hub cup|king pin|magneto|mudguard|oil tank|petrol tap|piston|pulley flange|push rod|quadrant|radiator core|rear lamp|rim|rocker|shackle|shaft|silencer|spark plug|speed indicator|spoke|spring|steering pinion|sump|tappet|timing cover|tyre|valve|valve guide|water pump|wing stay|windscreen bracket|worm wheel".split(
    "|",
  );
const KINDS = ["", "front", "rear", "left", "right", "upper", "lower", "inner", "outer", "long", "short", "small"];

export interface LargeClub {
  id: string;
  /** The account that asks: it has wants and spares of its own. */
  accountId: string;
  rows: number;
}

/** Members, and rows of which half are sources, a quarter wants and a quarter spares; an order behind each fifth source. */
export async function largeClub(
  store: Store,
  { members = 2_000, rows = 50_000, batches = 100, seed = 29 } = {},
): Promise<LargeClub> {
  const random = seeded(seed);
  const pick = (n: number): number => Math.floor(random() * n);
  const one = <T>(of: readonly T[]): T => of[pick(of.length)]!;
  const name = (syllables: number): string =>
    Array.from({ length: syllables }, () => one([...LETTERS]) + one(["a", "e", "i", "o", "u"])).join("");
  const capital = (word: string): string => word.charAt(0).toUpperCase() + word.slice(1);
  const marques = Array.from({ length: 80 }, () => capital(name(3)));
  const machines = marques.flatMap((marque) =>
    [8, 10, 12].map((power) => `${1908 + pick(20)} ${marque} ${power} h.p.`),
  );
  const suppliers = Array.from(
    { length: 600 },
    () => `${capital(name(3))} ${one(["Foundry", "Gears", "Brass", "Motors"])}`,
  );

  const workshop = await store.workshop.create({ data: { name: "Quill Lane Workshop", demo: true } });
  const accounts = Array.from({ length: members }, (_, i) => ({
    id: `account-${String(i).padStart(5, "0")}`,
    workshopId: workshop.id,
    name: `Member ${i}`,
    role: i === 0 ? ("RESTORER" as const) : ("MEMBER" as const),
  }));
  await store.account.createMany({ data: accounts });
  const club = await store.club.create({ data: { name: "Hedgerow Light Car Register", figuresFor: DAY } });
  const clubId = club.id;
  await store.clubMember.createMany({
    data: accounts.map(({ id, name }, i) => ({
      id: `member-${i}`,
      clubId,
      accountId: id,
      name,
      joinedOn: "2020-01-01",
      steward: i === 0,
    })),
  });
  const orders = await ordersOf(store, workshop.id, 1_000, pick);

  const wording = (i: number) => {
    const m = pick(machines.length);
    return {
      clubId,
      // The first member has more than anybody else.
      memberId: `member-${random() < 0.004 ? 0 : pick(members)}`,
      code: String(i),
      part: `${one(KINDS)} ${one(PARTS)}`.trim(),
      machine: random() < 0.1 ? "" : machines[m]!,
      references: random() < 0.6 ? `${marques[Math.floor(m / 3)]!.slice(0, 2).toUpperCase()}-${100 + pick(900)}` : "",
      enteredAt: new Date(Date.parse(`${DAY}T12:00:00Z`) - 60_000 * i),
    };
  };
  const many = <T>(count: number, row: (i: number) => T): T[] => Array.from({ length: count }, (_, i) => row(i));
  const write = async <T>(all: readonly T[], some: (data: T[]) => Promise<unknown>): Promise<void> => {
    for (let at = 0; at < all.length; at += 2_000) await some(all.slice(at, at + 2_000));
  };
  const sources = many(Math.ceil(rows / 2), (i) => ({
    ...wording(i),
    supplier: one(suppliers),
    provenance: one(["ORIGINAL", "REMADE", "REPRODUCTION"] as const),
    currency: "GBP",
    orderId: i % 5 === 0 ? one(orders) : null,
    sharedOn: addDays(DAY, -pick(2_000)),
    notes: "Asks for the old part to copy, and returns it.",
  }));
  await write(sources, (data) => store.clubSource.createMany({ data }));
  const wants = many(Math.ceil((rows - sources.length) / 2), (i) => ({ ...wording(i), quantity: 1 + pick(2) }));
  await write(wants, (data) => store.want.createMany({ data }));
  const spares = many(rows - sources.length - wants.length, (i) => ({ ...wording(i), currency: "GBP" }));
  await write(spares, (data) => store.spare.createMany({ data }));
  const runs = many(batches, (i) => ({
    ...wording(i),
    id: `batch-${i}`,
    maker: one(suppliers),
    currency: "GBP",
    patternMinor: 60_000,
    unitMinor: 6_500,
    smallest: 12,
    putDown: 10,
    begunOn: addDays(DAY, -40),
    closesOn: addDays(DAY, 10 + i),
    leadDays: 90,
  }));
  await store.batch.createMany({ data: runs });
  await store.nameDown.createMany({
    data: runs.flatMap(({ id }) =>
      many(10, (k) => ({ batchId: id, memberId: `member-${k}`, quantity: 1, depositMinor: 1_000 })),
    ),
  });
  return { id: clubId, accountId: accounts[0]!.id, rows: sources.length + wants.length + spares.length };
}

/** Accepted orders of one restoration, to stand behind sources. */
async function ordersOf(
  store: Store,
  workshopId: string,
  count: number,
  pick: (n: number) => number,
): Promise<string[]> {
  const { id: restorationId } = await store.restoration.create({ data: { workshopId, machine: "Generated machine" } });
  const { id: supplierId } = await store.supplier.create({ data: { workshopId, code: "S", name: "Generated" } });
  const { id: partId } = await store.part.create({ data: { restorationId, code: "P", name: "Generated" } });
  const { id: quoteId } = await store.quote.create({
    data: {
      restorationId,
      partId,
      supplierId,
      code: "Q",
      provenance: "REMADE",
      unitPriceMinor: 100,
      currency: "GBP",
      leadDays: 30,
    },
  });
  const data = Array.from({ length: count }, (_, i) => ({
    id: `order-${i}`,
    restorationId,
    partId,
    quoteId,
    code: String(i + 1),
    state: "ACCEPTED" as const,
    placedOn: addDays(DAY, -200),
    promisedOn: addDays(DAY, -170),
    arrivedOn: addDays(DAY, -180 + pick(40)),
    fitRating: 1 + pick(5),
    totalMinor: 100,
    currency: "GBP",
  }));
  await store.order.createMany({ data });
  return data.map(({ id }) => id);
}
