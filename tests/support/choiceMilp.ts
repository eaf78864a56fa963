/** The choice of quotes as a mixed-integer programme for an independent solver; every calendar day must have the same hours. */
import loadHighs from "highs";
import type { ChoiceModel } from "../../server/engine/choice/model.ts";
import type { Programme } from "../../server/engine/choice/programme.ts";

export type Solver = Awaited<ReturnType<typeof loadHighs>>;
export const solver = (): Promise<Solver> => loadHighs();

/**
 * The programme that minimises cost for an end.
 * @param hoursADay hours of every calendar day
 * @param mostPoints the most points that may be lost, hundredths; undefined: any
 */
export function programme(model: ChoiceModel, end: number, hoursADay: number, mostPoints?: number): string {
  const { network, arriving, ways, wayAt } = model;
  const cost: string[] = [];
  const rows: string[] = [];
  const whole: string[] = [];
  const lost = new Map<number, string[]>();
  const term = (factor: number, name: string): string => `${factor < 0 ? "-" : "+"} ${Math.abs(factor)} ${name}`;
  const lose = (choice: number, points: number, name: string): void => {
    const section = model.section[choice]!;
    const there = lost.get(section) ?? [];
    lost.set(section, there);
    if (points > 0) there.push(term(points, name));
  };
  arriving.forEach(({ choice, positions, ready, cost: price, points }, p) => {
    const names = [...ready.keys()].map((o) => `x${p}o${o}`);
    whole.push(...names);
    rows.push(`${names.map((x) => term(1, x)).join(" ")} = 1`);
    names.forEach((x, o) => {
      cost.push(term(price[o]!, x));
      lose(choice, points[o]!, x);
    });
    for (const v of positions) rows.push(`s${v} ${names.map((x, o) => term(-ready[o]!, x)).join(" ")} >= 0`);
  });
  const time = (i: number, m: number): number =>
    ways[i]!.before[m]! + ways[i]!.time[m]! * (ways[i]!.inDays[m] ? hoursADay : 1);
  ways.forEach(({ choice, cost: price, points }, i) => {
    const names = [...price.keys()].map((m) => `y${i}m${m}`);
    whole.push(...names);
    rows.push(`${names.map((y) => term(1, y)).join(" ")} = 1`);
    names.forEach((y, m) => {
      cost.push(term(price[m]!, y));
      lose(choice, points[m]!, y);
    });
  });
  /** Minus the time of an operation: what stands left, and what goes right. */
  const duration = (v: number): { left: string; right: number } => {
    const i = wayAt[v]!;
    if (i < 0) return { left: "", right: network.hours[v]! };
    return {
      left: [...ways[i]!.time.keys()].map((m) => term(-time(i, m), `y${i}m${m}`)).join(" "),
      right: 0,
    };
  };
  for (let v = 0; v < network.size; v++) {
    rows.push(`s${v} >= ${network.release[v]!}`);
    const { left, right } = duration(v);
    rows.push(`- s${v} ${left} >= ${right - end}`);
    for (let k = network.outStart[v]!; k < network.outStart[v + 1]!; k++) {
      const lag = network.outLag[k]! * (network.outDays[k] ? hoursADay : 1);
      rows.push(`s${network.outTo[k]!} - s${v} ${left} >= ${right + lag}`);
    }
  }
  if (mostPoints !== undefined) {
    const sums: string[] = [];
    for (const [section, terms] of lost) {
      const cap = section < 0 ? undefined : model.caps[section]!;
      const sum = `l${section + 1}`;
      sums.push(term(1, sum));
      // Up to the cap all that is lost counts; past it the cap does.
      const past = `c${section + 1}`;
      const most = 1e6;
      if (cap === undefined) rows.push(`${sum} ${terms.map(negated).join(" ")} >= 0`);
      else {
        whole.push(past);
        rows.push(`${sum} ${terms.map(negated).join(" ")} ${term(most, past)} >= 0`, `${sum} ${term(-cap, past)} >= 0`);
      }
    }
    if (sums.length > 0) rows.push(`${sums.join(" ")} <= ${mostPoints}`);
  }
  return `Minimize\n obj: ${cost.join(" ")}\nSubject To\n${rows.map((row, r) => ` r${r}: ${row}`).join("\n")}\nBinary\n ${whole.join(" ")}\nEnd\n`;
}

const negated = (text: string): string => text.replace(/^\+/, "-");

/** The least cost of a programme; Infinity when nothing is feasible. */
export function leastCost(highs: Solver, text: string): number {
  const solution = highs.solve(text, { output_flag: false, mip_rel_gap: 0, mip_abs_gap: 0.4 });
  if (solution.Status === "Infeasible") return Number.POSITIVE_INFINITY;
  if (solution.Status !== "Optimal") throw new Error(`The solver ended with ${solution.Status}.`);
  return Math.round(solution.ObjectiveValue);
}

/** A programme of the engine's as text that any solver reads. */
export function lpText({ columns, rows }: Programme): string {
  const sum = (terms: readonly (readonly [number, number])[]): string =>
    terms.map(([x, factor]) => `${factor < 0 ? "-" : "+"} ${Math.abs(factor)} x${x}`).join(" ") || "+ 0 x0";
  const bound = (value: number): string => (Number.isFinite(value) ? String(value) : value > 0 ? "+inf" : "-inf");
  const lines = rows.flatMap(({ low, high, terms }) =>
    low === high
      ? [`${sum(terms)} = ${low}`]
      : [
          ...(low > Number.NEGATIVE_INFINITY ? [`${sum(terms)} >= ${low}`] : []),
          ...(high < Number.POSITIVE_INFINITY ? [`${sum(terms)} <= ${high}`] : []),
        ],
  );
  const whole = columns.flatMap(({ whole: isWhole }, x) => (isWhole ? [`x${x}`] : []));
  return [
    "Minimize",
    ` obj: ${sum(columns.map(({ cost }, x) => [x, cost] as const))}`,
    "Subject To",
    ...lines.map((line, r) => ` r${r}: ${line}`),
    "Bounds",
    ...columns.map(({ low, high }, x) => ` ${bound(low)} <= x${x} <= ${bound(high)}`),
    "Generals",
    ` ${whole.join(" ")}`,
    "End",
    "",
  ].join("\n");
}
