/** Small choices of quotes for tests, and every plan there is of them, one by one. */
import fc from "fast-check";
import type {
  ArrivalChoice,
  ChoiceInput,
  ChoiceLine,
  Judged,
  OperationChoice,
} from "../../server/engine/choice/input.ts";
import type { QuoteChoice } from "../../server/engine/choice/quoteChoice.ts";
import { judge } from "../../server/engine/fit/judging.ts";
import type { OrderTerms } from "../../server/engine/money/orderCharge.ts";
import { forwardPass } from "../../server/engine/network/criticalPath.ts";
import { Network } from "../../server/engine/network/network.ts";
import type { ShopCalendar } from "../../server/engine/time/calendar.ts";
import { hours } from "../../server/engine/time/units.ts";
import { anyNetwork, type PlainNetwork } from "./networks.ts";

export interface SmallChoice {
  plain: PlainNetwork;
  arrivals: { judged: Judged; needs: number[]; options: ArrivalChoice["options"] }[];
  operations: { judged: Judged; node: number; options: OperationChoice["options"] }[];
  sectionCaps: number[];
  /** Two lines of each section; where losses count in steps, a third for what stands on none. */
  lines: ChoiceLine[];
  step: number;
  /** Suppliers who charge on a whole order. */
  orders?: OrderTerms[];
}

const money = fc.integer({ min: -20, max: 300 });
const points = fc.constantFrom(0, 0, 50, 100, 125, 300);
/** In no section, or in one of two and there on no line or on one of two. */
const judged = fc
  .record({ section: fc.option(fc.nat({ max: 1 }), { nil: null }), line: fc.constantFrom(null, 0, 1) })
  .map(
    ({ section, line }): Judged => ({ section, line: section === null || line === null ? null : section * 2 + line }),
  );
const lines = fc
  .record({
    step: fc.constantFrom(1, 1, 100, 150),
    lines: fc.array(
      fc.record({
        maximum: fc.constantFrom(0, 100, 125, 400),
        mandatory: fc.boolean(),
        disqualifying: fc.oneof({ weight: 4, arbitrary: fc.constant(false) }, fc.constant(true)),
      }),
      { minLength: 4, maxLength: 4 },
    ),
  })
  .map(({ step, lines: four }) => ({
    step,
    lines: [
      ...four.map((line, i): ChoiceLine => ({ ...line, section: i >> 1, step })),
      ...(step === 1 ? [] : [0, 1].map((section): ChoiceLine => ({ section, maximum: 100_000, step }))),
    ],
  }));
const mark = { kept: fc.oneof({ weight: 9, arbitrary: fc.constant(false) }, fc.constant(true)) };
const shut = { ruledOut: fc.oneof({ weight: 9, arbitrary: fc.constant(false) }, fc.constant(true)) };

export const anyChoice = (size: { parts: number; ways: number }): fc.Arbitrary<SmallChoice> =>
  fc
    .boolean()
    .chain((hands) => anyNetwork({ lagInDays: true, lag: fc.integer({ min: -2, max: 4 }), largest: 7, hands }))
    .chain((plain) => {
      const node = fc.nat({ max: plain.nodes.length - 1 });
      const whole = fc.record({
        plain: fc.constant(plain),
        arrivals: fc.array(
          fc.record({
            judged,
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
                judged,
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
      // Where losses count in steps, what is on no line of its section is one line there too.
      return fc.tuple(whole, lines).map(([choice, sheet]): SmallChoice => {
        const onLine = <One extends { judged: Judged }>(one: One): One =>
          sheet.step > 1 && one.judged.section !== null && one.judged.line === null
            ? { ...one, judged: { ...one.judged, line: 4 + one.judged.section } }
            : one;
        return {
          ...choice,
          ...sheet,
          arrivals: choice.arrivals.map(onLine),
          operations: choice.operations.map(onLine),
        };
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
  { plain, arrivals, operations, sectionCaps, lines, orders }: SmallChoice,
  calendar: ShopCalendar,
): ChoiceInput {
  const network = new Network(plain.nodes, plain.links, calendar);
  const position = (node: number): number => network.position(plain.nodes[node]!.id);
  return {
    network,
    arrivals: arrivals.map((a, i) => ({
      id: `part ${i}`,
      ...a.judged,
      positions: a.needs.map(position),
      options: a.options,
    })),
    operations: operations.map((o, i) => ({
      id: `operation ${i}`,
      ...o.judged,
      position: position(o.node),
      options: o.options,
    })),
    sectionCaps,
    lines,
    ...(orders === undefined ? {} : { orders }),
  };
}

export interface Figure {
  end: number;
  cost: number;
  points: number;
  /** A disqualifying line loses points. */
  out: boolean;
}

/** End in hours, cost and points lost of one plan, on a network of its own in which every part is a node and every wait a link. */
export function figuresOf(choice: SmallChoice, calendar: ShopCalendar, picks: readonly number[]): Figure {
  const { plain, arrivals, operations, sectionCaps, lines, step } = choice;
  const nodes = plain.nodes.map((node) => ({ ...node }));
  const links = plain.links.map((link) => ({ ...link }));
  let cost = 0;
  let outside = 0;
  const losing: { section: number; line: number; points: number }[] = [];
  const take = (of: { judged: Judged; options: readonly { cost: number; points: number }[] }, pick: number): void => {
    const { section, line = null } = of.judged;
    const { points } = of.options[pick]!;
    cost += of.options[pick]!.cost;
    if (section === null) outside += points;
    // A section's own two lines stand first there; the last takes what is on none.
    else losing.push({ section, line: line === null || line >= 4 ? 2 : line & 1, points });
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
  choice.orders?.forEach(({ carriage, minimum }, supplier) => {
    const chosen = arrivals.map(({ options }, i) => options[picks[i]!]!.order).filter((o) => o?.supplier === supplier);
    if (chosen.length === 0) return;
    const goods = chosen.reduce((sum, o) => sum + o!.goods, 0);
    // The order comes to the larger of minimum and goods; the goods are in the prices already.
    cost += Math.max(minimum, goods) - goods + (chosen.some((o) => o!.carried) ? carriage : 0);
  });
  const judgement = judge(
    {
      sections: sectionCaps.map((cap, s) => ({
        name: `section ${s}`,
        maximum: 100_000,
        mostLost: cap,
        lines: [
          ...lines.slice(2 * s, 2 * s + 2).map((line, l) => ({ mandatory: false, ...line, title: `line ${l}` })),
          { title: "on no line", maximum: 100_000, mandatory: false },
        ],
      })),
      floors: [],
    },
    losing.map((one, i) => ({ ...one, id: String(i), provenance: "ORIGINAL", visible: true })),
    { step, doubt: "OWNER" },
  );
  return {
    end: forwardPass(new Network(nodes, links, calendar)).end,
    cost,
    points: judgement.lost + outside,
    out: judgement.disqualifiedBy.length > 0,
  };
}

/** The figures of every plan that keeps to what is kept and ruled out; ends as dates where asked. */
export function everyPlan(choice: SmallChoice, calendar: ShopCalendar, asDates: boolean): Figure[] {
  const allowed = [...choice.arrivals, ...choice.operations].map(({ options }) => {
    const free = [...options.keys()].filter((i) => !options[i]!.ruledOut);
    const kept = free.filter((i) => options[i]!.kept);
    return kept.length > 0 ? kept : free;
  });
  let all: number[][] = [[]];
  for (const options of allowed) all = all.flatMap((picks) => options.map((option) => [...picks, option]));
  return all.map((picks) => {
    const figure = figuresOf(choice, calendar, picks);
    return asDates ? { ...figure, end: calendar.finishDay(hours(figure.end)) } : figure;
  });
}

/** What no other beats, each once, by end, then points, then cost; with points, one that is disqualified does not beat one that is not. */
export function undominated(plans: readonly Figure[], withPoints: boolean): Figure[] {
  const lost = (plan: Figure): number => (withPoints ? plan.points : 0);
  const beats = (a: Figure, b: Figure): boolean =>
    a.end <= b.end && a.cost <= b.cost && lost(a) <= lost(b) && (!withPoints || a.out <= b.out);
  const left: Figure[] = [];
  for (const plan of [...plans].sort(
    (a, b) => a.end - b.end || lost(a) - lost(b) || a.cost - b.cost || Number(a.out) - Number(b.out),
  ))
    if (!left.some((other) => beats(other, plan))) left.push(plan);
  return left;
}

/** Hours to a ten-thousandth: sums in another order round otherwise. */
export const round = (hours: number): number => Math.round(hours * 1e4) / 1e4;
/** The plans that were found, as {@link everyPlan} gives them. */
export const figures = (found: QuoteChoice): Figure[] =>
  [...found.end].map((end, plan) => ({
    end: round(end),
    cost: found.cost[plan]!,
    points: found.points[plan]!,
    out: found.disqualified[plan] === 1,
  }));
/** Hours to a ten-thousandth: sums in another order round otherwise. */
export const rounded = (plans: Figure[]): Figure[] => plans.map((plan) => ({ ...plan, end: round(plan.end) }));
export const pair = ({ end, cost }: Figure) => ({ end, cost });
