/** What a request's resolvers share: who asks, the store, the plans computed and the rows loaded for it. */
import { isDeepStrictEqual } from "node:util";
import { queryFromInfo } from "@pothos/plugin-prisma";
import type { GraphQLResolveInfo } from "graphql";
import type { Viewer } from "../../access/viewer.ts";
import type { Account } from "../../generated/prisma/client.ts";
import type { Nightly } from "../../io/nightlyBackups.ts";
import { planOf } from "../../plan/cache.ts";
import { loadSheet, type Sheet } from "../../plan/choice/points.ts";
import { loadMakers, type MakerRecord, type Makers, makerRecord } from "../../plan/makers/makerRecord.ts";
import { loadRates, type Rates } from "../../plan/money/exchange.ts";
import { type Money, moneyOf } from "../../plan/money/exposureKept.ts";
import { ratesByDay } from "../../plan/money/exposureLoad.ts";
import type { Landing } from "../../plan/money/landed.ts";
import { loadOrdersAhead, type OrdersAhead } from "../../plan/money/ordersAhead.ts";
import type { Plan } from "../../plan/plan.ts";
import { KeptByVersion } from "../../plan/rows/kept.ts";
import type { Store } from "../../store/client.ts";
import { NotFound } from "../../store/fault.ts";
import { CHUNK, delegateOf, NOUNS, type Table, type Tables } from "../../store/tables.ts";
import type { Visit } from "../http/visit.ts";

/** Rows that fields of a document may name by id. */
type Loadable = Tables & { account: Account };

/** What many rows of many requests rest on, read once for each state of the database. */
const RATES = new KeptByVersion<Rates>();
const RATES_BY_DAY = new KeptByVersion<(day: string) => Rates>();
const SHEETS = new KeptByVersion<Sheet>();
const MAKERS = new KeptByVersion<Makers>();

export interface Ask {
  figuresFor?: string | undefined;
  /** Null: as promised. Absent: as the restoration says. */
  confidence?: number | null | undefined;
}

export class Context {
  /** Cost of what the request asks of the schema itself. */
  introspection = 0;
  private readonly known = new Map<string, Promise<unknown>>();
  private readonly batches = new Map<string, Batch>();

  constructor(
    readonly store: Store,
    readonly viewer: Viewer,
    /** The browser that asks; absent where a program inside asks. */
    readonly visit: Visit | null = null,
    /** The backups of the data folder; absent where none are kept. */
    readonly backups: Nightly | null = null,
  ) {}

  /** False where the browser that asks would by now be another viewer: signed out, its account closed or in another role. */
  async isSame(): Promise<boolean> {
    return this.visit === null || isDeepStrictEqual(await this.visit.viewerNow(this.store), this.viewer);
  }

  /** Whose long work it is that this request asks for, and until when. From here on the request waits for a thread. */
  longWork(): { account: string; signal: AbortSignal | undefined } {
    this.visit?.waitsElsewhere();
    return { account: this.viewer.accountId, signal: this.visit?.gone };
  }

  /** What is asked for several times in a request and read once. */
  once<T>(key: string, load: () => Promise<T>): Promise<T> {
    const known = this.known.get(key) as Promise<T> | undefined;
    if (known !== undefined) return known;
    const loading = load();
    this.known.set(key, loading);
    return loading;
  }

  /** The restoration's plan, computed once a request. */
  plan(restorationId: string, ask: Ask = {}): Promise<Plan> {
    const key = `plan ${JSON.stringify([restorationId, ask.figuresFor, ask.confidence])}`;
    return this.once(key, () => planOf(this.store, restorationId, ask));
  }

  /** Rows have changed: what is asked after this is read and computed anew. */
  forget(): void {
    this.known.clear();
  }

  /** The day a restoration's figures are for. */
  async figuresFor(restorationId: string): Promise<string> {
    return (await this.plan(restorationId)).figuresFor;
  }

  /** The workshop's exchange rates on a restoration's day of the figures. */
  async rates({ id, workshopId }: { id: string; workshopId: string }): Promise<Rates> {
    const day = await this.figuresFor(id);
    return RATES.of(this.store, `${workshopId} ${day}`, () => loadRates(this.store, workshopId, day));
  }

  /** The workshop's exchange rates on whatever day is asked. */
  ratesOn(workshopId: string): Promise<(day: string) => Rates> {
    return RATES_BY_DAY.of(this.store, workshopId, () => ratesByDay(this.store, workshopId));
  }

  /** What a restoration has still to order, supplier by supplier, on its day of the figures. */
  ordersAhead(restoration: { id: string; workshopId: string } & Landing): Promise<OrdersAhead> {
    const { id } = restoration;
    return this.once(`orders ahead ${id}`, async () =>
      loadOrdersAhead(this.store, restoration, await this.plan(id), await this.rates(restoration)),
    );
  }

  /** The owner's money of a restoration. */
  money(restorationId: string): Promise<Money> {
    return this.once(`money ${restorationId}`, () => moneyOf(this.store, restorationId));
  }

  /** A restoration's judging sheet. */
  sheet(restorationId: string): Promise<Sheet> {
    return SHEETS.of(this.store, restorationId, () => loadSheet(this.store, restorationId));
  }

  /** How a supplier of a workshop, both of which the viewer may see, has kept to what was promised until a day. */
  async makerRecord(workshopId: string, supplierId: string, day: string): Promise<MakerRecord> {
    const makers = await MAKERS.of(this.store, workshopId, () => loadMakers(this.store, workshopId));
    return this.once(`maker ${supplierId} ${day}`, async () => makerRecord(makers, supplierId, day));
  }

  /**
   * One row with what the document selects of it. All rows that one field of the document asks for
   * while a page is resolved are read in one query. The ids must come from rows that the viewer may see.
   */
  async row<T extends keyof Loadable>(table: T, id: string, info: GraphQLResolveInfo): Promise<Loadable[T]> {
    const row = await this.rowOrNull(table, id, info);
    if (row === null) throw new NotFound(table === "account" ? table : NOUNS[table as Table]);
    return row;
  }

  /** The same where there may be none. */
  async rowOrNull<T extends keyof Loadable>(
    table: T,
    id: string | null,
    info: GraphQLResolveInfo,
  ): Promise<Loadable[T] | null> {
    if (id === null) return null;
    const rows = await this.batched(`${table} ${documentPath(info)}`, id, (ids) =>
      delegateOf(this.store, table as Table).findMany({
        ...queryFromInfo({ context: this, info }),
        where: { id: { in: ids } },
      }),
    );
    return (rows.get(id) as Loadable[T] | undefined) ?? null;
  }

  /** An order's dates and its supplier, for the chase list. */
  async placed(orderId: string): Promise<PlacedOrder> {
    const rows = await this.batched("placed", orderId, (ids) =>
      this.store.order.findMany({
        where: { id: { in: ids } },
        select: { id: true, promisedOn: true, expectedOn: true, quote: { select: { supplierId: true } } },
      }),
    );
    const row = rows.get(orderId) as PlacedOrder | undefined;
    if (row === undefined) throw new NotFound("order");
    return row;
  }

  private batched(key: string, id: string, load: Load): Promise<Found> {
    let batch = this.batches.get(key);
    if (batch === undefined) {
      batch = new Batch(load, () => this.batches.delete(key));
      this.batches.set(key, batch);
    }
    return batch.rows(id);
  }
}

/** The field's place in the document: the same for every row of a list. */
function documentPath(info: GraphQLResolveInfo): string {
  const keys: string[] = [];
  for (let at: GraphQLResolveInfo["path"] | undefined = info.path; at !== undefined; at = at.prev)
    if (typeof at.key === "string") keys.push(at.key);
  return keys.join(".");
}

interface PlacedOrder {
  id: string;
  promisedOn: string;
  expectedOn: string | null;
  quote: { supplierId: string };
}

type Found = Map<string, unknown>;
type Load = (ids: string[]) => Promise<{ id: string }[]>;

/** Gathers ids until the page that asks for them is resolved, then reads all of them together. */
class Batch {
  private readonly ids = new Set<string>();
  private readonly found: Promise<Found>;

  constructor(load: Load, close: () => void) {
    this.found = new Promise<void>((resolve) => setImmediate(resolve)).then(async () => {
      close();
      const ids = [...this.ids];
      const found: Found = new Map();
      for (let at = 0; at < ids.length; at += CHUNK)
        for (const row of await load(ids.slice(at, at + CHUNK))) found.set(row.id, row);
      return found;
    });
  }

  rows(id: string): Promise<Found> {
    this.ids.add(id);
    return this.found;
  }
}
