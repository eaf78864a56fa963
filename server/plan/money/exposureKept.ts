/** The owner's money kept while nothing that it rests on has changed: its rows, and what they come to. */
import type { Store } from "../../store/client.ts";
import type { Entry } from "../../store/journal.ts";
import { planRowsOf } from "../cache.ts";
import {
  type Choosing,
  choosing,
  type Effect,
  type Standing,
  standingOf,
  type TriedQuote,
  trying,
} from "../choice/effect.ts";
import {
  loadParts,
  loadQuotes,
  type ManyRows,
  type PricedPart,
  type WeighedQuote,
  type Which,
} from "../choice/load.ts";
import { dayFor } from "../days/day.ts";
import { Followed, KeptByRevision, newest } from "../rows/kept.ts";
import { loadRates, type Rates } from "./exchange.ts";
import { exposureOf, type RestorationExposure } from "./exposure.ts";
import { type ConsentDue, consentDue } from "./exposureConsent.ts";
import { type ExposureRows, loadExposureRows } from "./exposureLoad.ts";
import { type InvoicePaid, invoicesPaid } from "./invoicesPaid.ts";

/** One state of a restoration's money. What is asked of it is worked out once. */
export class Money {
  private exposed: RestorationExposure | undefined;
  private due: readonly ConsentDue[] | undefined;
  private paid: ReadonlyMap<string, InvoicePaid> | undefined;
  private stands: Standing | undefined;
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

  /** By invoice and receipt: how far it is paid. */
  get invoicesPaid(): ReadonlyMap<string, InvoicePaid> {
    this.paid ??= invoicesPaid(this.rows);
    return this.paid;
  }

  /** What the plan comes to as things stand. Throws PlanFault where the rows make none. */
  get standing(): Standing {
    this.stands ??= standingOf(this.rows);
    return this.stands;
  }

  /** What it would come to with something else chosen. Throws PlanFault where the rows make no plan then. */
  effectOf(choices: readonly Choosing[]): Effect {
    return this.effect(choosing(this.rows, choices));
  }

  /** The same with a quote that is not saved. */
  effectOfTried(tried: TriedQuote): Effect {
    return this.effect(trying(this.rows, tried));
  }

  private effect(then: ExposureRows): Effect {
    return { currency: this.rows.restoration.currency, before: this.standing, after: standingOf(then) };
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

/** Rows by id, of which a change has those read again that it concerns. */
type ById<Row> = ReadonlyMap<string, Row>;

/** Rows of one change that are read one by one; after a larger one all are read again. */
const MOST_READ = 200;

/** @param idOf the row that an entry concerns; null: none, ALL: it may be any */
function followed<Row>(
  load: (store: Store, where: Which) => Promise<ById<Row>>,
  idOf: (entry: Entry) => string | "ALL" | null,
): Followed<ById<Row>> {
  return new Followed(
    (store, restorationId) => load(store, { restorationId }),
    (entries, restorationId, store) => {
      const ids = new Set(entries.map(idOf).filter((id) => id !== null));
      if (ids.has("ALL") || ids.size > MOST_READ) return null;
      return async (before) => {
        if (ids.size === 0) return before;
        const read = await load(store, { restorationId, id: { in: [...ids] } });
        const after = new Map([...before, ...read]);
        for (const id of ids) if (!read.has(id)) after.delete(id);
        return after;
      };
    },
  );
}

const parts = followed<PricedPart>(loadParts, ({ table, id }) => (table === "part" ? id : null));

const quotes = followed<WeighedQuote>(loadQuotes, ({ table, id, before, after }) => {
  if (table === "quote") return id;
  if (table === "priceBreak" || table === "knockOn") return (after ?? before)!.quoteId as string;
  return table === "supplier" ? "ALL" : null;
});

/** Rates by the day on which they hold. */
const rates = new Followed<Map<string, Promise<Rates>>>(
  async () => new Map(),
  (entries) => (entries.some(({ table }) => table === "exchangeRate") ? null : (before) => before),
);
const MOST_DAYS = 4;

/** Kept from one change to the next: what there is most of is read once. */
const KEPT: ManyRows = {
  plan: planRowsOf,
  parts: (store, restorationId, revision) => parts.of(store, restorationId, revision),
  quotes: (store, restorationId, revision) => quotes.of(store, restorationId, revision),
  rates: async (store, { id, workshopId }, day, revision) => {
    const days = await rates.of(store, id, revision);
    const known = days.get(day) ?? loadRates(store, workshopId, day);
    known.catch(() => days.delete(day));
    newest(days, day, known, MOST_DAYS);
    return known;
  },
};

/**
 * The money of a restoration on its day. Whatever it rests on raises the plan revision: each row of it, the exchange
 * rates of its workshop, and the names of suppliers and people by which entries are told. Throws NotFound.
 */
export async function moneyOf(store: Store, restorationId: string): Promise<Money> {
  const day = await dayFor(store, restorationId);
  const { value } = await kept.of(store, restorationId, day, (drop) => {
    const loading = loadExposureRows(store, restorationId, day, KEPT).then((rows) => new Money(rows));
    loading.catch(drop);
    return loading;
  });
  return value;
}
