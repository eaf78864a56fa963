/** Compile, both passes, drag and ladder against a plain longest path on a graph library's topological order. */
import { DirectedGraph } from "graphology";
import { forEachNodeInTopologicalOrder } from "graphology-dag";
import { backwardPass, criticalPath, forwardPass } from "../../server/engine/network/criticalPath.ts";
import { ladder } from "../../server/engine/network/ladder.ts";
import { Network } from "../../server/engine/network/network.ts";
import { largeNetwork, type PlainNetwork, shopCalendar } from "../support/networks.ts";
import { figure, median, timings } from "./measure.ts";

const SIZES = [100, 1_000, 10_000, 100_000];

function libraryGraph({ nodes, links }: PlainNetwork): DirectedGraph {
  const graph = new DirectedGraph();
  for (const { id, hours, release = 0 } of nodes) graph.addNode(id, { hours, release });
  for (const { before, after, lag } of links) graph.addEdge(before, after, { lag });
  return graph;
}

/** Longest path with the library: one forward pass. */
function libraryLongestPath(graph: DirectedGraph): number {
  const finish = new Map<string, number>();
  let end = 0;
  forEachNodeInTopologicalOrder(graph, (id, node) => {
    let start = node.release as number;
    graph.forEachInEdge(id, (_edge, link, before) => {
      const t = finish.get(before)! + (link.lag as number);
      if (t > start) start = t;
    });
    const f = start + (node.hours as number);
    finish.set(id, f);
    if (f > end) end = f;
  });
  return end;
}

export function passes(): void {
  const perNode: { size: number; passes: number; ladder: number }[] = [];
  for (const size of SIZES) {
    // Lags in hours alone, as in the library's pass; the ladder is timed with lags in days as well.
    const plain = largeNetwork(size, 7, 0);
    const calendar = shopCalendar();
    const network = new Network(plain.nodes, plain.links, calendar);
    const graph = libraryGraph(plain);
    if (Math.abs(libraryLongestPath(graph) - forwardPass(network).end) > 1e-6)
      throw new Error("the two longest paths differ");

    const compile = median(timings(() => new Network(plain.nodes, plain.links, calendar)));
    const both = median(timings(() => backwardPass(network, forwardPass(network).end)));
    const library = median(timings(() => libraryLongestPath(graph), { least: 5 }));
    const whole = median(timings(() => criticalPath(network)));
    figure(`compile.${size}.median`, compile, "ms");
    figure(`passes.${size}.median`, both, "ms");
    figure(`passes.${size}.graphology`, library, "ms");
    figure(`passes.${size}.vs_graphology`, library / both, "ratio");
    figure(`criticalPath.${size}.median`, whole, "ms");

    const mixed = largeNetwork(size, 7, 0.02);
    const withDays = new Network(mixed.nodes, mixed.links, calendar);
    const arrivals = mixed.arrivals.map((id) => withDays.position(id));
    const rungs = ladder(withDays, arrivals).rungs.length;
    const climb = median(timings(() => ladder(withDays, arrivals), { least: 5 }));
    const place = median(timings(() => criticalPath(withDays), { least: 5 }));
    figure(`ladder.${size}.median`, climb, "ms");
    figure(`ladder.${size}.rungs`, rungs, "rungs");
    figure(`criticalPath.${size}.with_day_lags`, place, "ms");
    perNode.push({ size, passes: both / size, ladder: climb / size });
  }
  const small = perNode.find((p) => p.size === 10_000)!;
  const large = perNode.at(-1)!;
  figure("passes.growth_per_node.10000_to_100000", large.passes / small.passes, "ratio");
  figure("ladder.growth_per_node.10000_to_100000", large.ladder / small.ladder, "ratio");
}
