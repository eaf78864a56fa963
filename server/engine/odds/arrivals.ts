/** When the hold-ups of a model arrive, a strip of runs at a time: makers' luck first, then each route. */

import type { RowDraw } from "./draw.ts";
import { MakerDraw } from "./makerLuck.ts";
import { ArrivalDraw } from "./route.ts";
import { LANES } from "./runs.ts";
import { streamNames, type UncertainModel } from "./uncertainty.ts";

export class Arrivals {
  private readonly makers: MakerDraw[] = [];
  private readonly routes: (ArrivalDraw | null)[] = [];
  private readonly factors: Float64Array[];

  constructor(
    model: UncertainModel,
    private readonly rowDraw: RowDraw,
  ) {
    const names = streamNames(model);
    const makerAt = new Map(model.makers.map(({ id }, i) => [id, i]));
    for (const { node, route } of model.holdUps)
      this.routes.push(route === null ? null : new ArrivalDraw(names.get(node)!, route, makerAt, this.rowDraw));
    model.makers.forEach(({ id, name, lateness, crowd = 0 }, i) => {
      const out = this.routes.flatMap((a) => (a?.waiting?.maker === i ? [a.waiting.tailGiven] : []));
      this.makers.push(new MakerDraw(name ?? id, lateness, crowd, out, LANES));
    });
    this.factors = model.makers.map(() => new Float64Array(LANES));
  }

  /** Draws what the makers' orders share in the runs of a strip. */
  begin(seed: number, strip: number): void {
    this.makers.forEach((maker, i) => {
      maker.fill(this.factors[i]!, LANES, seed, strip);
    });
  }

  /** Days of arrival of a hold-up in the runs of the strip that was begun; false, and nothing drawn, where it has no source. */
  fill(holdUp: number, out: Int32Array, seed: number, strip: number): boolean {
    const route = this.routes[holdUp];
    if (route == null) return false;
    route.fill(out, seed, strip, this.factors);
    return true;
  }
}
