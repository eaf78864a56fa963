/** The owner's money kept while nothing that it rests on has changed: its rows, and what they come to. */
import type { Store } from "../store/client.ts";
import { dayFor } from "./day.ts";
import { exposureOf, type RestorationExposure } from "./exposure.ts";
import { type ConsentDue, consentDue } from "./exposureConsent.ts";
import { type ExposureRows, loadExposureRows } from "./exposureLoad.ts";
import { KeptByRevision } from "./kept.ts";

/** One state of a restoration's money. What is asked of it is worked out once. */
export class Money {
  private exposed: RestorationExposure | undefined;
  private due: readonly ConsentDue[] | undefined;
  private setAside: Promise<RestorationExposure["contingency"]> | undefined;

  constructor(readonly rows: ExposureRows) {}

  get exposure(): RestorationExposure {
    this.exposed ??= exposureOf(this.rows);
    return this.exposed;
  }

  get consentDue(): readonly ConsentDue[] {
    this.due ??= consentDue(this.rows);
    return this.due;
  }

  /** What to set aside, from runs that `draw` has drawn; drawn again where that failed. */
  contingency(
    draw: (rows: ExposureRows) => Promise<RestorationExposure["contingency"]>,
  ): Promise<RestorationExposure["contingency"]> {
    if (this.setAside === undefined) {
      const drawn = draw(this.rows);
      this.setAside = drawn;
      drawn.catch(() => {
        if (this.setAside === drawn) this.setAside = undefined;
      });
    }
    return this.setAside;
  }
}

const kept = new KeptByRevision<Promise<Money>>();

/**
 * The money of a restoration on its day. Whatever it rests on raises the plan revision: each row of it, the exchange
 * rates of its workshop, and the names of suppliers and people by which entries are told. Throws NotFound.
 */
export async function moneyOf(store: Store, restorationId: string): Promise<Money> {
  const day = await dayFor(store, restorationId);
  const { value } = await kept.of(store, restorationId, day, (drop) => {
    const loading = loadExposureRows(store, restorationId, day).then((rows) => new Money(rows));
    loading.catch(drop);
    return loading;
  });
  return value;
}
