/**
 * A workshop drawn from the priors that the program states, with the truth that the program does not see.
 *
 * Stated priors, and the spreads of what they rest on (natural logs):
 * makers: their mean about log 1.1 with deviation 0.36 (as one maker of whom nothing is known); within one maker 0.3 and
 * between makers 0.2, each times exp of a normal of deviation 0.25; a maker's own variance scaled-inverse-chi-square of 6.
 * Work: a shop's factor 0.2, a trade's 0.15, each spread times exp of a normal of deviation 0.25; hours PERT-beta.
 * Hunts: a rate that is gamma by the belief entered; chances of events and failures as entered.
 *
 * Days count from the day of the figures; money is in minor units.
 */
import { Chance } from "./chance.ts";

export type Three = readonly [least: number, likely: number, most: number];

export interface Delivery {
  maker: number;
  placed: number;
  promised: number;
  /** Day on which it comes, or on which it comes to nothing. */
  arrives: number;
}

export interface Offer {
  maker: number;
  promised: number;
  price: number;
  deposit: number;
  /** Chance that it comes to nothing, and whether it will. */
  failure: number;
  fails: boolean;
  /** How long it takes from its order, in days. */
  takes: number;
}

export interface Hunt {
  begun: number;
  chancePerWeek: number;
  beliefWeeks: number;
  stop: number;
  lead: number;
  price: number;
  events: { day: number; chance: number }[];
  /** The day on which it will be found, if looking goes on. */
  found: number;
}

export interface Part {
  /** Null: it is looked for. */
  offer: Offer | null;
  fallback: Offer | null;
  hunt: Hunt | null;
  /** Day on which it was ordered; null: still to be ordered. */
  placed: number | null;
}

export interface Work {
  trade: number;
  estimate: Three;
  /** Hours that it really takes. */
  takes: number;
  after: number[];
  parts: number[];
}

export interface Person {
  trades: number[];
  /** Minutes on Monday to Sunday. */
  minutes: number[];
}

export interface Workshop {
  makers: number;
  past: Delivery[];
  done: { trade: number; estimate: Three; took: number; finished: number }[];
  people: Person[];
  parts: Part[];
  work: Work[];
  hourPrice: number;
}

export const TRADES = ["engine", "body", "paint"];

/**
 * @param outside beyond what the model knows: deliveries with heavy tails (Student t of 3), a shop that has slowed since
 *   its finished work, and a tenth of the work on no list
 */
export function drawWorkshop(seed: number, outside = false): Workshop {
  const chance = new Chance(seed);
  const spread = (usual: number): number => usual * Math.exp(0.25 * chance.normal());
  const crowd = Math.log(1.1) + Math.hypot(0.3, 0.2) * chance.normal();
  const [within, between] = [spread(0.3), spread(0.2)];
  const makers = Array.from({ length: chance.whole(4, 12) }, () => {
    const own = within * Math.sqrt(6 / chance.chiSquare(6));
    return { mean: crowd + own * (between / within) * chance.normal(), own };
  });
  const noise = (): number => (outside ? chance.normal() / Math.sqrt(chance.chiSquare(3) / 3) : chance.normal());
  const takes = (maker: number, promised: number): number => {
    const { mean, own } = makers[maker]!;
    return Math.max(1, Math.ceil(promised * Math.exp(mean + own * noise())));
  };
  const anyMaker = (): number => chance.whole(0, makers.length - 1);

  const past: Delivery[] = makers.flatMap((_, maker) =>
    Array.from({ length: chance.whole(0, 2) }, () => {
      const [placed, promised] = [-chance.whole(120, 600), chance.whole(15, 90)];
      return { maker, placed, promised, arrives: placed + takes(maker, promised) };
    }),
  );

  const [shopSpread, tradeSpread] = [spread(0.2), spread(0.15)];
  const shop = shopSpread * chance.normal();
  const trades = TRADES.map(() => tradeSpread * chance.normal());
  const estimate = (): Three => {
    const likely = chance.whole(6, 40);
    return [
      Math.round(likely * (0.6 + 0.3 * chance.uniform())),
      likely,
      Math.round(likely * (1.3 + 0.7 * chance.uniform())),
    ];
  };
  const done = Array.from({ length: chance.whole(0, 12) }, () => {
    const trade = chance.whole(0, TRADES.length - 1);
    const three = estimate();
    return {
      trade,
      estimate: three,
      took: chance.pert(three) * Math.exp(shop + trades[trade]!),
      finished: -chance.whole(5, 400),
    };
  });
  const later = outside ? 0.15 : 0;
  const unlisted = outside ? 1.1 : 1;

  const offer = (mayFail: boolean): Offer => {
    const maker = anyMaker();
    const promised = chance.whole(15, 90);
    const price = chance.whole(50, 900) * 100;
    const failure = mayFail && chance.happens(0.4) ? chance.among([0.05, 0.1, 0.2]) : 0;
    const deposit = Math.round(price * 0.3);
    return { maker, promised, price, deposit, failure, fails: chance.happens(failure), takes: takes(maker, promised) };
  };
  const parts = Array.from({ length: chance.whole(4, 8) }, (): Part => {
    if (chance.happens(0.15)) return hunted(chance, offer(false));
    const first = offer(true);
    const fallback = first.failure > 0 ? offer(false) : null;
    return { offer: first, fallback, hunt: null, placed: chance.happens(0.35) ? -chance.whole(3, 60) : null };
  });

  const people: Person[] = TRADES.map((_, trade) => ({ trades: [trade], minutes: week(chance.among([5, 5, 4])) }));
  if (chance.happens(0.5)) people.push({ trades: [0, 1], minutes: week(5) });
  const work = Array.from({ length: chance.whole(8, 16) }, (_, at): Work => {
    const trade = chance.whole(0, TRADES.length - 1);
    const three = estimate();
    const after = at === 0 ? [] : [...new Set([chance.whole(0, at - 1), chance.whole(0, at - 1)])];
    return {
      trade,
      estimate: three,
      takes: unlisted * chance.pert(three) * Math.exp(shop + later + trades[trade]!),
      after: chance.happens(0.75) ? after : [],
      parts: [],
    };
  });
  parts.forEach((_, part) => {
    chance.among(work).parts.push(part);
  });
  return { makers: makers.length, past, done, people, parts, work, hourPrice: 4_000 };
}

const week = (days: number): number[] => Array.from({ length: 7 }, (_, day) => (day < days ? 480 : 0));

function hunted(chance: Chance, fallback: Offer): Part {
  const [chancePerWeek, beliefWeeks] = [0.02 + 0.08 * chance.uniform(), chance.whole(8, 40)];
  // The rate's gamma: its first week brings a find with the chance entered, and it is worth so many weeks.
  const shape = -Math.log(1 - chancePerWeek) / Math.log(1 + 1 / beliefWeeks);
  const rate = chance.gamma(shape) / beliefWeeks;
  const begun = -chance.whole(0, 100);
  const stop = chance.whole(30, 120);
  const events = chance.happens(0.6) ? [{ day: chance.whole(5, 100), chance: chance.among([0.1, 0.25]) }] : [];
  let found = begun + Math.ceil((7 * -Math.log(chance.uniform())) / rate);
  for (const event of events) if (chance.happens(event.chance)) found = Math.min(found, event.day);
  const price = chance.whole(30, 300) * 100;
  return {
    offer: null,
    fallback,
    hunt: { begun, chancePerWeek, beliefWeeks, stop, lead: 7, price, events, found },
    placed: null,
  };
}
