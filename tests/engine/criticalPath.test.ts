import fc from "fast-check";
import { DirectedGraph } from "graphology";
import { topologicalSort } from "graphology-dag";
import { describe, expect, it } from "vitest";
import { backwardPass, criticalPath, forwardPass } from "../../server/engine/network/criticalPath.ts";
import { Network, NetworkFault, type NetworkLink, type NetworkNode } from "../../server/engine/network/network.ts";
import { days, hours } from "../../server/engine/time/units.ts";
import { anyNetwork, type PlainNetwork, shopCalendar } from "../support/networks.ts";

const calendar = shopCalendar();
const compile = ({ nodes, links }: PlainNetwork): Network => new Network(nodes, links, calendar);

/** When work that may begin at an hour is done, day by day: on each its hands work from the opening on, no longer than the shop. */
function workedUntil(start: number, { hours: work, hands }: NetworkNode): number {
  if (hands === undefined || work === 0) return start + work;
  let left = work;
  for (let day = 0, opens = 0; ; opens += calendar.hoursOf(day++)) {
    const date = calendar.date(days(day));
    const weekday = (new Date(`${date}T00:00:00Z`).getUTCDay() + 6) % 7;
    const open = Math.min(
      calendar.hoursOf(day),
      ...hands.map(({ weekdayHours, absences, joinsOn }) =>
        absences.some(({ from, to }) => from <= date && date <= to) || (joinsOn !== null && date < joinsOn)
          ? 0
          : weekdayHours[weekday]!,
      ),
    );
    const from = Math.max(start, opens);
    const today = Math.max(0, opens + open - from);
    if (today >= left - 1e-7) return from + left;
    left -= today;
  }
}

/** Longest path on graphology-dag's order: an independent forward pass. */
function oracleEnd({ nodes, links }: PlainNetwork): number {
  const graph = new DirectedGraph();
  for (const node of nodes) graph.addNode(node.id, { ...node });
  for (const link of links) graph.addEdge(link.before, link.after, { ...link });
  const finish = new Map<string, number>();
  let end = 0;
  for (const id of topologicalSort(graph)) {
    let start = graph.getNodeAttribute(id, "release") as number;
    graph.forEachInEdge(id, (_edge, link, before) => {
      const f = finish.get(before)!;
      start = Math.max(start, link.lagInDays ? calendar.afterDays(hours(f), link.lag) : f + link.lag);
    });
    const f = workedUntil(start, graph.getNodeAttributes(id) as NetworkNode);
    finish.set(id, f);
    end = Math.max(end, f);
  }
  return end;
}

/** Drag by its definition: the end again, with the node taking no time. */
const oracleDrag = (network: PlainNetwork, id: string): number =>
  oracleEnd(network) -
  oracleEnd({ ...network, nodes: network.nodes.map((n) => (n.id === id ? { ...n, hours: 0 } : n)) });

const lags = fc.integer({ min: -8, max: 12 });
const kinds = [
  ["without lags", anyNetwork({ lagInDays: false })],
  ["with lags in hours, some negative", anyNetwork({ lagInDays: false, lag: lags })],
  ["with lags in hours and in calendar days", anyNetwork({ lagInDays: true, lag: lags })],
  ["with work in other hours than the shop's", anyNetwork({ lagInDays: true, lag: lags, hands: true })],
] as const;

describe.each(kinds)("any network %s", (_name, networks) => {
  it("ends when the longest path on a graph library's order says", () => {
    fc.assert(
      fc.property(networks, (plain) => {
        expect(forwardPass(compile(plain)).end).toBeCloseTo(oracleEnd(plain), 6);
      }),
      { numRuns: 400 },
    );
  });

  it("has the drag that taking each node away in turn gives", () => {
    fc.assert(
      fc.property(networks, (plain) => {
        const network = compile(plain);
        const { drag } = criticalPath(network);
        for (const { id } of plain.nodes) expect(drag[network.position(id)]).toBeCloseTo(oracleDrag(plain, id), 5);
      }),
      { numRuns: 400 },
    );
  });

  it("still ends on time when one node starts as late as its late start, and is late when it starts any later", () => {
    fc.assert(
      fc.property(networks, fc.nat(), (plain, pick) => {
        const network = compile(plain);
        const { forward, backward } = criticalPath(network);
        const v = pick % network.size;
        const delayed = (by: number): number => {
          const release = network.release.slice();
          release[v] = Math.max(release[v]!, backward.start[v]! + by);
          return forwardPass(network, release).end;
        };
        fc.pre(Math.abs(backward.finish[v]!) > 1e-3);
        expect(delayed(0)).toBeCloseTo(forward.end, 3);
        expect(delayed(0.5)).toBeGreaterThan(forward.end);
      }),
      { numRuns: 400 },
    );
  });

  it("has free float within total float, and neither below zero", () => {
    fc.assert(
      fc.property(networks, (plain) => {
        const network = compile(plain);
        const path = criticalPath(network);
        for (let v = 0; v < network.size; v++) {
          const { totalFloat, freeFloat } = path.place(v);
          expect(freeFloat).toBeGreaterThanOrEqual(0);
          expect(freeFloat).toBeLessThanOrEqual(totalFloat + 1e-4);
        }
      }),
    );
  });
});

describe("time scaled by a factor", () => {
  it("scales every date, float and drag by it, where all time is in hours", () => {
    const networks = anyNetwork({ lagInDays: false, lag: lags });
    fc.assert(
      fc.property(networks, fc.integer({ min: 2, max: 9 }), (plain, k) => {
        const scaled = {
          nodes: plain.nodes.map((n) => ({ ...n, hours: n.hours * k, release: (n.release ?? 0) * k })),
          links: plain.links.map((l) => ({ ...l, lag: l.lag * k })),
        };
        const [a, b] = [compile(plain), compile(scaled)];
        const [pa, pb] = [criticalPath(a), criticalPath(b)];
        for (const { id } of plain.nodes) {
          const [x, y] = [pa.place(a.position(id)), pb.place(b.position(id))];
          expect(y.earlyStart).toBeCloseTo(x.earlyStart * k, 6);
          expect(y.totalFloat).toBeCloseTo(x.totalFloat * k, 6);
          expect(y.drag).toBeCloseTo(x.drag * k, 6);
        }
      }),
    );
  });
});

describe("a target date", () => {
  const plain: PlainNetwork = {
    nodes: [
      { id: "strip", hours: 10 },
      { id: "paint", hours: 20 },
    ],
    links: [{ before: "strip", after: "paint", lag: 0, lagInDays: false }],
  };
  it("later than the end gives every node that much more float", () => {
    const network = compile(plain);
    const late = backwardPass(network, 50);
    expect(late.start[network.position("strip")]).toBe(20);
  });
  it("earlier than the end asks for a start before today", () => {
    const network = compile(plain);
    expect(backwardPass(network, 25).start[network.position("strip")]).toBe(-5);
  });
});

describe("done work", () => {
  const nodes: NetworkNode[] = [
    { id: "paint", hours: 30, doneOn: -1 },
    { id: "fit", hours: 8 },
  ];
  const link = (lag: number, lagInDays: boolean): NetworkLink => ({ before: "paint", after: "fit", lag, lagInDays });
  it("takes no time and holds nothing up", () => {
    const network = compile({ nodes, links: [link(0, false)] });
    expect(forwardPass(network).end).toBe(8);
    expect(network.position("paint")).toBe(-1);
  });
  it("still cures: paint finished yesterday with three days to dry is ready the day after tomorrow", () => {
    // The day of the figures is a Monday: finished on Sunday, dry on Wednesday evening, fitted on Thursday.
    const network = compile({ nodes, links: [link(3, true)] });
    const { start } = forwardPass(network);
    expect(calendar.date(calendar.startDay(hours(start[0]!)))).toBe("2026-11-26");
  });
});

describe("input that makes no network", () => {
  const op = (id: string, h = 1): NetworkNode => ({ id, hours: h });
  const link = (before: string, after: string): NetworkLink => ({ before, after, lag: 0, lagInDays: false });
  const faultOf = (nodes: NetworkNode[], links: NetworkLink[]): NetworkFault => {
    try {
      compile({ nodes, links });
    } catch (error) {
      if (error instanceof NetworkFault) return error;
      throw error;
    }
    throw new Error("no fault was found");
  };

  it("names the whole path of a cycle", () => {
    const fault = faultOf(
      ["strip", "frame", "paint", "trim", "test"].map((id) => op(id)),
      [
        link("strip", "frame"),
        link("frame", "paint"),
        link("paint", "trim"),
        link("trim", "frame"),
        link("trim", "test"),
      ],
    );
    expect(fault.code).toBe("CYCLE");
    expect(fault.rows.at(0)).toBe(fault.rows.at(-1));
    expect(new Set(fault.rows)).toEqual(new Set(["frame", "paint", "trim"]));
    const at = fault.rows.indexOf("frame");
    expect(fault.rows[at + 1]).toBe("paint");
  });
  it("names a cycle among work already done", () =>
    expect(faultOf([{ ...op("a"), doneOn: -1 }, op("b")], [link("a", "b"), link("b", "a")]).code).toBe("CYCLE"));
  it("names an operation that waits for itself", () =>
    expect(faultOf([op("a")], [link("a", "a")]).rows).toEqual(["a", "a"]));
  it("names an unknown predecessor", () => {
    const fault = faultOf([op("a")], [link("ghost", "a")]);
    expect([fault.code, fault.field, fault.rows]).toEqual(["UNKNOWN_ROW", "before", ["ghost", "a"]]);
  });
  it("names hours that are negative, and hours that are absent", () => {
    expect(faultOf([op("a", -1)], []).code).toBe("NEGATIVE");
    expect(faultOf([op("a", Number.NaN)], []).code).toBe("NOT_A_NUMBER");
  });
  it("names a node that stands twice", () => expect(faultOf([op("a"), op("a")], []).code).toBe("DUPLICATE"));
  it("finds the cycle of any closed network", () => {
    fc.assert(
      fc.property(anyNetwork({ lagInDays: false, largest: 10 }), fc.nat(), (plain, pick) => {
        fc.pre(plain.links.length > 0);
        const back = plain.links[pick % plain.links.length]!;
        const fault = faultOf(plain.nodes, [...plain.links, link(back.after, back.before)]);
        const ends = new Set([...plain.links, link(back.after, back.before)].map((l) => `${l.before} ${l.after}`));
        expect(fault.code).toBe("CYCLE");
        for (let i = 1; i < fault.rows.length; i++) expect(ends).toContain(`${fault.rows[i - 1]} ${fault.rows[i]}`);
      }),
    );
  });
});
