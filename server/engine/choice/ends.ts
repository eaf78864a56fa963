/** The end that each option of a part or snag allows by itself, where every operation has one way. */
import { forwardPass } from "../network/criticalPath.ts";
import { type Changed, endsWith } from "../network/sideBySide.ts";
import type { ChoiceModel } from "./model.ts";

/**
 * End of the machine with one option alone and the work, for each option of each part or snag; completion is the latest
 * of those chosen. Ends as the model tells them apart.
 */
export function soloEnds(model: ChoiceModel): Float64Array[] {
  const { network } = model;
  const base = forwardPass(network);
  const least = model.endOf(base.end);
  const ends = model.arriving.map(({ ready }) => new Float64Array(ready.length).fill(least));
  // Passes side by side want each position once, so options of one position take turns.
  const turns: { change: Changed; arriving: number; option: number }[][] = [];
  const taken = new Int32Array(network.size);
  model.arriving.forEach(({ positions, ready }, arriving) => {
    for (const position of positions)
      for (let option = 0; option < ready.length; option++) {
        if (ready[option]! <= base.start[position]!) continue;
        const turn = taken[position]!++;
        const there = turns[turn] ?? [];
        turns[turn] = there;
        there.push({
          change: { position, release: ready[option]!, work: network.hours[position]! },
          arriving,
          option,
        });
      }
  });
  for (const turn of turns) {
    turn.sort((a, b) => a.change.position - b.change.position);
    const hoursOf = endsWith(
      network,
      base,
      network.release,
      turn.map((t) => t.change),
    );
    turn.forEach(({ arriving, option }, k) => {
      const end = model.endOf(hoursOf[k]!);
      if (end > ends[arriving]![option]!) ends[arriving]![option] = end;
    });
  }
  return ends;
}
