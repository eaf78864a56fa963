/** The owner's money kept while nothing that it rests on has changed: its rows, and what they come to. */
import { createHash } from "node:crypto";
import type { Store } from "../store/client.ts";
import { NotFound } from "../store/fault.ts";
import { dayOf, SAYS_DAY } from "./day.ts";
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
 * The money of a restoration on its data date. A change of any row of it, and of any exchange rate of its workshop, raises
 * its plan revision; names of suppliers and of people do not, so they are part of what it is kept by. Throws NotFound.
 */
export async function moneyOf(store: Store, restorationId: string): Promise<Money> {
  const restoration = await store.restoration.findUnique({
    where: { id: restorationId },
    select: { workshopId: true, ...SAYS_DAY },
  });
  if (restoration === null) throw new NotFound("restoration", restorationId);
  const day = dayOf(restoration);
  const key = `${day} ${await namesOf(store, restoration.workshopId)}`;
  const { value } = await kept.of(store, restorationId, key, (drop) => {
    const loading = loadExposureRows(store, restorationId, day).then((rows) => new Money(rows));
    loading.catch(drop);
    return loading;
  });
  return value;
}

/** A digest of the names that entries of the ledger and orders at risk are told by. */
async function namesOf(store: Store, workshopId: string): Promise<string> {
  const where = { workshopId };
  const select = { id: true, name: true };
  const [suppliers, accounts] = await Promise.all([
    store.supplier.findMany({ where, select, orderBy: { id: "asc" } }),
    store.account.findMany({ where, select, orderBy: { id: "asc" } }),
  ]);
  const names = [...suppliers, ...accounts].map(({ id, name }) => [id, name]);
  return createHash("sha256").update(JSON.stringify(names)).digest("base64url");
}
