/** Small choices of quotes for tests, and every plan there is of them, one by one. */
import fc from "fast-check";
import type { ShopCalendar } from "../../server/engine/calendar.ts";
import { forwardPass } from "../../server/engine/criticalPath.ts";
import { Network } from "../../server/engine/network.ts";
import type { OrderTerms } from "../../server/engine/orderCharge.ts";
import type { ArrivalChoice, ChoiceInput, OperationChoice } from "../../server/engine/quoteChoiceInput.ts";
import { hours } from "../../server/engine/units.ts";
import { anyNetwork, type PlainNetwork } from "./networks.ts";

export interface SmallChoice {
  plain: PlainNetwork;
  arrivals: { section: number | null; needs: number[]; options: ArrivalChoice["options"] }[];
  operations: { section: number | null; node: number; options: OperationChoice["options"] }[];
  sectionCaps: number[];
  /** Suppliers who charge on a whole order. */
  orders?: OrderTerms[];
}

const money = fc.integer({ min: -20, max: 300 });
const points = fc.constantFrom(0, 0, 50, 100, 125, 300);
const section = fc.option(fc.nat({ max: 1 }), { nil: null });
const mark = { locked: fc.oneof({ weight: 9, arbitrary: fc.constant(false) }, fc.constant(true)) };
const shut = { banned: fc.oneof({ weight: 9, arbitrary: fc.constant(false) }, fc.constant(true)) };

export const anyChoice = (size: { parts: number; ways: number }): fc.Arbitrary<SmallChoice> =>
  anyNetwork({ lagInDays: true, lag: fc.integer({ min: -2, max: 4 }), largest: 7 }).chain((plain) => {
    const node = fc.nat({ max: plain.nodes.length - 1 });
    return fc.record({
      plain: fc.constant(plain),
      arrivals: fc.array(
        fc.record({
          section,
          needs: fc.uniqueArray(node, { maxLength: 2 }),
          options: fc
            .array(
              fc.record({
                usable: fc.integer({ min: -10, max: 160 }),
                preparation: fc.constantFrom(0, 0, 3, 10),
                cost: money,
                points,
                ...mark,
                ...shut,
              }),
              { minLength: 1, maxLength: 3 },
            )
            .map((all) => all.map((option, i) => ({ id: `q${i}`, ...option }))),
        }),
        { maxLength: size.parts },
      ),
      operations: fc.uniqueArray(node, { maxLength: size.ways }).chain((nodes) =>
        fc.tuple(
          ...nodes.map((n) =>
            fc.record({
              section,
              node: fc.constant(n),
              options: fc
                .array(
                  fc.record({
                    time: fc.integer({ min: 0, max: 12 }),
                    inDays: fc.boolean(),
                    before: fc.constantFrom(0, 0, 3, 10),
                    cost: money,
                    points,
                    ...shut,
                  }),
                  { minLength: 1, maxLength: 3 },
                )
                .map((all) =>
                  all.map((option, i) => ({
                    id: `w${i}`,
                    ...option,
                    time: option.inDays ? option.time : 5 * option.time,
                  })),
                ),
            }),
          ),
        ),
      ),
      sectionCaps: fc.tuple(fc.constantFrom(100, 200, 1000), fc.constantFrom(75, 350)).map((caps) => [...caps]),
    });
  });

/** The same with two suppliers who charge on a whole order, and some quotes that are theirs. */
export const anyOrdered = (size: { parts: number; ways: number }): fc.Arbitrary<SmallChoice> =>
  fc
    .tuple(
      anyChoice(size),
      fc.array(fc.record({ carriage: fc.constantFrom(0, 17, 90), minimum: fc.constantFrom(0, 60, 250) }), {
        minLength: 2,
        maxLength: 2,
      }),
      fc.infiniteStream(
        fc.option(fc.record({ supplier: fc.nat({ max: 1 }), goods: fc.nat({ max: 200 }), carried: fc.boolean() }), {
          nil: undefined,
          freq: 3,
        }),
      ),
    )
    .map(([choice, orders, stream]) => ({
      ...choice,
      orders,
      arrivals: choice.arrivals.map((arrival) => ({
        ...arrival,
        options: arrival.options.map((option) => {
          const { value: order } = stream.next();
          return order === undefined ? option : { ...option, order };
        }),
      })),
    }));

export function choiceInput(
  { plain, arrivals, operations, sectionCaps, orders }: SmallChoice,
  calendar: ShopCalendar,
): ChoiceInput {
  const network = new Network(plain.nodes, plain.links, calendar);
  const position = (node: number): number => network.position(plain.nodes[node]!.id);
  return {
    network,
    arrivals: arrivals.map((a, i) => ({
      id: `part ${i}`,
      section: a.section,
      positions: a.needs.map(position),
      options: a.options,
    })),
    operations: operations.map((o, i) => ({
      id: `operation ${i}`,
      section: o.section,
      position: position(o.node),
      options: o.options,
    })),
    sectionCaps,
    ...(orders === undefined ? {} : { orders }),
  };
}

export interface Figure {
  end: number;
  cost: number;
  points: number;
}

/** End in hours, cost and points lost of one plan, on a network of its own in which every part is a node and every wait a link. */
export function figuresOf(choice: SmallChoice, calendar: ShopCalendar, picks: readonly number[]): Figure {
  const { plain, arrivals, operations, sectionCaps } = choice;
  const nodes = plain.nodes.map((node) => ({ ...node }));
  const links = plain.links.map((link) => ({ ...link }));
  let cost = 0;
  const lost = [0, 0];
  let points = 0;
  const take = (
    of: { section: number | null; options: readonly { cost: number; points: number }[] },
    pick: number,
  ): void => {
    cost += of.options[pick]!.cost;
    if (of.section === null) points += of.options[pick]!.points;
    else lost[of.section]! += of.options[pick]!.points;
  };
  operations.forEach((operation, i) => {
    const pick = picks[arrivals.length + i]!;
    const { time, inDays, before = 0 } = operation.options[pick]!;
    take(operation, pick);
    const node = nodes[operation.node]!;
    node.hours = inDays ? before : time;
    if (!inDays) return;
    // Out of house: it goes away when its turn comes, and what follows waits for it to come back.
    const back = `${node.id} back`;
    for (const link of links) if (link.before === node.id) link.before = back;
    nodes.push({ id: back, hours: 0 });
    links.push({ before: node.id, after: back, lag: time, lagInDays: true });
  });
  arrivals.forEach((arrival, i) => {
    const { usable, preparation } = arrival.options[picks[i]!]!;
    take(arrival, picks[i]!);
    if (arrival.needs.length === 0) return;
    nodes.push({ id: `part ${i}`, hours: preparation, release: usable });
    for (const need of arrival.needs)
      links.push({ before: `part ${i}`, after: plain.nodes[need]!.id, lag: 0, lagInDays: false });
  });
  lost.forEach((sum, s) => {
    points += Math.min(sum, sectionCaps[s]!);
  });
  choice.orders?.forEach(({ carriage, minimum }, supplier) => {
    const chosen = arrivals.map(({ options }, i) => options[picks[i]!]!.order).filter((o) => o?.supplier === supplier);
    if (chosen.length === 0) return;
    const goods = chosen.reduce((sum, o) => sum + o!.goods, 0);
    // The order comes to the larger of minimum and goods; the goods are in the prices already.
    cost += Math.max(minimum, goods) - goods + (chosen.some((o) => o!.carried) ? carriage : 0);
  });
  return { end: forwardPass(new Network(nodes, links, calendar)).end, cost, points };
}

/** The figures of every plan that keeps to what is locked and banned; ends as dates where asked. */
export function everyPlan(choice: SmallChoice, calendar: ShopCalendar, asDates: boolean): Figure[] {
  const allowed = [...choice.arrivals, ...choice.operations].map(({ options }) => {
    const free = [...options.keys()].filter((i) => !options[i]!.banned);
    const locked = free.filter((i) => options[i]!.locked);
    return locked.length > 0 ? locked : free;
  });
  let all: number[][] = [[]];
  for (const options of allowed) all = all.flatMap((picks) => options.map((option) => [...picks, option]));
  return all.map((picks) => {
    const figure = figuresOf(choice, calendar, picks);
    return asDates ? { ...figure, end: calendar.finishDay(hours(figure.end)) } : figure;
  });
}

/** What no other beats, each once, by end, then points, then cost. */
export function undominated(plans: readonly Figure[], withPoints: boolean): Figure[] {
  const lost = (plan: Figure): number => (withPoints ? plan.points : 0);
  const beats = (a: Figure, b: Figure): boolean => a.end <= b.end && a.cost <= b.cost && lost(a) <= lost(b);
  const left: Figure[] = [];
  for (const plan of [...plans].sort((a, b) => a.end - b.end || lost(a) - lost(b) || a.cost - b.cost))
    if (!left.some((other) => beats(other, plan))) left.push(plan);
  return left;
}
