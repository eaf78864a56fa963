/** Would a new link make work wait for itself? */
import type { Store, Tx } from "../../store/client.ts";

/**
 * Codes along the circle that a link before → after would close, the first repeated at the end; null when it closes none.
 * @param exceptLinkId a link about to be replaced, which does not count
 */
export async function cycleWith(
  store: Store | Tx,
  restorationId: string,
  beforeId: string,
  afterId: string,
  exceptLinkId?: string,
): Promise<string[] | null> {
  const links = await store.link.findMany({
    where: { restorationId },
    select: { id: true, beforeId: true, afterId: true },
  });
  const path = pathBetween(
    links.filter((l) => l.id !== exceptLinkId),
    afterId,
    beforeId,
  );
  if (path === null) return null;
  const operations = await store.operation.findMany({ where: { id: { in: path } }, select: { id: true, code: true } });
  const codes = new Map(operations.map((o) => [o.id, o.code]));
  return [beforeId, ...path].map((id) => codes.get(id) ?? id);
}

/** Shortest way from one operation to another along links, both ends included; null when there is none. */
function pathBetween(
  links: readonly { beforeId: string; afterId: string }[],
  from: string,
  to: string,
): string[] | null {
  const after = new Map<string, string[]>();
  for (const { beforeId, afterId } of links) {
    const list = after.get(beforeId);
    if (list === undefined) after.set(beforeId, [afterId]);
    else list.push(afterId);
  }
  const came = new Map<string, string>([[from, ""]]);
  const queue = [from];
  for (const id of queue) {
    if (id === to) {
      const path: string[] = [];
      for (let step = id; step !== ""; step = came.get(step)!) path.push(step);
      return path.reverse();
    }
    for (const next of after.get(id) ?? []) {
      if (came.has(next)) continue;
      came.set(next, id);
      queue.push(next);
    }
  }
  return null;
}
