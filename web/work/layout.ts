import ELK, { type ElkExtendedEdge, type ElkNode } from "elkjs/lib/elk-api.js";
import workerUrl from "elkjs/lib/elk-worker.min.js?url";
import type { Scheduled, WorkLink } from "./schedule.ts";

export const BOX = { width: 168, height: 74 } as const;

/** Where every box and link of a network stands, in pixels at full size. */
export interface Layout {
  width: number;
  height: number;
  boxes: ReadonlyMap<string, { x: number; y: number }>;
  /** By link id: a path of straight pieces, and where its lag is written. */
  paths: ReadonlyMap<string, { d: string; x: number; y: number }>;
}

/** From this many operations on, a drawing in seconds counts for more than its last crossing. */
const MANY = 400;
const QUICK = {
  "elk.layered.layering.strategy": "LONGEST_PATH_SOURCE",
  "elk.layered.crossingMinimization.greedySwitch.type": "OFF",
  "elk.layered.nodePlacement.strategy": "SIMPLE",
  "elk.layered.thoroughness": "1",
};

/** Lays the network out from left to right in a worker of its own. `stop` ends the worker; the promise then never settles. */
export function layNetwork(
  rows: readonly Scheduled[],
  links: readonly WorkLink[],
): { layout: Promise<Layout>; stop: () => void } {
  const elk = new ELK({ workerUrl });
  const shown = new Set(rows.map((row) => row.operation.id));
  const graph: ElkNode = {
    id: "network",
    layoutOptions: {
      "elk.algorithm": "layered",
      "elk.direction": "RIGHT",
      "elk.edgeRouting": "ORTHOGONAL",
      "elk.layered.spacing.nodeNodeBetweenLayers": "56",
      "elk.spacing.nodeNode": "20",
      "elk.layered.spacing.edgeNodeBetweenLayers": "16",
      ...(rows.length > MANY ? QUICK : { "elk.layered.nodePlacement.strategy": "BRANDES_KOEPF" }),
    },
    children: rows.map((row) => ({ id: row.operation.id, ...BOX })),
    edges: links
      .filter((link) => shown.has(link.before) && shown.has(link.after))
      .map((link) => ({ id: link.id, sources: [link.before], targets: [link.after] })),
  };
  const layout = elk.layout(graph).then((laid): Layout => {
    elk.terminateWorker();
    return {
      width: laid.width ?? 0,
      height: laid.height ?? 0,
      boxes: new Map(laid.children?.map(({ id, x = 0, y = 0 }) => [id, { x, y }])),
      paths: new Map(laid.edges?.map((edge) => [edge.id, pathOf(edge)])),
    };
  });
  return { layout, stop: () => elk.terminateWorker() };
}

function pathOf(edge: ElkExtendedEdge): { d: string; x: number; y: number } {
  const section = edge.sections?.[0];
  if (!section) return { d: "", x: 0, y: 0 };
  const points = [section.startPoint, ...(section.bendPoints ?? []), section.endPoint];
  return {
    d: `M${points.map((point) => `${point.x} ${point.y}`).join("L")}`,
    x: section.endPoint.x - 10,
    y: section.endPoint.y - 6,
  };
}
