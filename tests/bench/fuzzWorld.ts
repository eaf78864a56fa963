/** Who asks in the fuzz, and whose each row of the database is: the demo, its club, and further workshops with restorations of their own. */
import { fileURLToPath } from "node:url";
import { type Client, createClient } from "@libsql/client";
import { seedClub } from "../../seed/club.ts";
import { seedDemo } from "../../seed/load.ts";
import { hashOf } from "../../server/access/secret.ts";
import { NOBODY, SIGNED_OUT, type Viewer } from "../../server/access/viewer.ts";
import { getDatamodel } from "../../server/generated/pothos-types.ts";
import type { Role } from "../../server/generated/prisma/enums.ts";
import { readFolder } from "../../server/io/folder.ts";
import { applyImport, prepareImport } from "../../server/io/import.ts";
import { fileUrl, type Store } from "../../server/store/client.ts";
import { MODEL_NAMES } from "../support/marked.ts";

export interface Asker {
  name: string;
  cookie: string | undefined;
  viewer: Viewer;
  /** Its member of the club. */
  memberId: string | null;
  clubSteward: boolean;
}

export type Row = Readonly<Record<string, unknown>> & { id: string };

/** Every row of the database at one moment, by model and by id. */
export interface Snapshot {
  rows: ReadonlyMap<string, { model: string; row: Row; text: string }>;
  byModel: ReadonlyMap<string, readonly Row[]>;
}

/** Whose a row is. */
export interface Scope {
  workshop?: string;
  /** The workshop is the demo. */
  demo?: boolean;
  restoration?: string;
  /** Account that owns the restoration. */
  owner?: string | null;
  account?: string;
  club?: string;
  member?: string;
  /** The two members of a correspondence. */
  between?: string[];
  withheld?: boolean;
}

const secretOf = (account: string): string => `fuzz ${account}`;

/** Fills a new database, and gives the people who then ask. */
export async function fillWorld(store: Store): Promise<void> {
  await seedDemo(store);
  await seedClub(store);
  await store.club.updateMany({ data: { entriesPerDay: 1_000_000 } });
  const demo = await store.workshop.findFirstOrThrow({ where: { demo: true }, include: { accounts: true } });
  const other = await store.clubMember.findFirstOrThrow({
    where: { account: { role: "RESTORER", workshop: { demo: false } } },
    orderBy: { id: "asc" },
    include: { account: true },
  });
  await store.account.update({ where: { id: other.accountId }, data: { admin: true } });
  const add = (workshopId: string, name: string, role: Role) =>
    store.account.create({ data: { workshopId, name, role } });
  const second = await readFolder(fileURLToPath(new URL("../../seed/club/restorations/fenwhistle", import.meta.url)));
  const { restorationId } = await applyImport(
    store,
    await prepareImport(store, second, { workshopId: demo.id, accountId: demo.accounts[0]!.id, restorationId: null }),
  );
  const owner = await add(demo.id, "Owner of the second", "OWNER");
  await store.restoration.update({ where: { id: restorationId }, data: { ownerAccountId: owner.id } });
  await add(demo.id, "Restorer without keys", "RESTORER");
  const elsewhere = await add(other.account.workshopId, "Owner elsewhere", "OWNER");
  await store.restoration.updateMany({
    where: { workshopId: other.account.workshopId },
    data: { ownerAccountId: elsewhere.id },
  });
}

export class World {
  readonly askers: readonly Asker[];
  private readonly client: Client;

  private constructor(
    private readonly store: Store,
    file: string,
    private readonly accounts: readonly { id: string; role: Role; admin: boolean }[],
    askers: readonly Asker[],
    private readonly owned: readonly { id: string; ownerAccountId: string | null }[],
  ) {
    this.askers = askers;
    this.client = createClient({ url: fileUrl(file) });
  }

  /** Reads who is there: everybody of the demo's workshop and of one other, and a member with no workshop. */
  static async open(store: Store, file: string): Promise<World> {
    const owner = await store.account.findFirstOrThrow({ where: { name: "Owner elsewhere" } });
    const demo = { demo: true };
    const accounts = await store.account.findMany({
      where: { OR: [{ workshop: demo }, { workshopId: owner.workshopId }] },
      orderBy: { id: "asc" },
    });
    const club = await store.workshop.findFirstOrThrow({
      where: { demo: false, accounts: { some: { role: "MEMBER" } } },
    });
    accounts.push(await store.account.findFirstOrThrow({ where: { workshopId: club.id }, orderBy: { id: "asc" } }));
    const members = await store.clubMember.findMany();
    const askers = accounts.map(({ id, workshopId, role, admin, name }): Asker => {
      const member = members.find(({ accountId }) => accountId === id);
      return {
        name,
        cookie: `lastbolt=${encodeURIComponent(secretOf(id))}`,
        viewer: { accountId: id, workshopId, role, admin, everyJob: role === "RESTORER" },
        memberId: member?.id ?? null,
        clubSteward: member?.steward ?? false,
      };
    });
    const nobody = { viewer: NOBODY, memberId: null, clubSteward: false };
    const visitor: Asker = { ...askers[0]!, name: "visitor of the demo", cookie: undefined };
    const all = [...askers, visitor, { ...nobody, name: "nobody", cookie: `lastbolt=${SIGNED_OUT}` }];
    const owned = await store.restoration.findMany({ select: { id: true, ownerAccountId: true } });
    const world = new World(store, file, accounts, all, owned);
    await world.mend();
    return world;
  }

  /** Puts back what the askers are, after changes that closed, signed out or demoted one of them. */
  async mend(): Promise<void> {
    for (const { id, role, admin } of this.accounts) {
      await this.store.account.update({ where: { id }, data: { role, admin, closed: false } });
      const secretHash = hashOf(secretOf(id));
      const endsAt = new Date("2100-01-01");
      await this.store.signIn.upsert({
        where: { secretHash },
        create: { accountId: id, secretHash, browser: "fuzz", endsAt },
        update: { endsAt },
      });
    }
    for (const { id, ownerAccountId } of this.owned)
      await this.store.restoration.updateMany({
        where: { id, ownerAccountId: { not: ownerAccountId } },
        data: { ownerAccountId },
      });
    for (const { memberId, clubSteward } of this.askers)
      if (memberId !== null)
        await this.store.clubMember.updateMany({ where: { id: memberId }, data: { steward: clubSteward } });
  }

  /** The asker as a snapshot knows it: with the member of the club that it may have become. */
  static in({ rows, byModel }: Snapshot, asker: Asker): Asker {
    const { accountId } = asker.viewer;
    const member = byModel.get("ClubMember")!.find((row) => row["accountId"] === accountId);
    if (!rows.has(accountId)) return asker;
    return { ...asker, memberId: member?.id ?? null, clubSteward: member?.["steward"] === 1 };
  }

  /** True for a restoration with which the fuzz began: it stays. */
  isKept(id: string): boolean {
    return this.owned.some((one) => one.id === id);
  }

  async snapshot(): Promise<Snapshot> {
    const rows = new Map<string, { model: string; row: Row; text: string }>();
    const byModel = new Map<string, Row[]>();
    for (const model of MODEL_NAMES) {
      const { rows: found } = await this.client.execute(`SELECT * FROM "${model}" ORDER BY rowid`);
      const list = found.map((row) => ({ ...row }) as unknown as Row);
      byModel.set(model, list);
      for (const row of list) rows.set(row.id, { model, row, text: JSON.stringify(row) });
    }
    return { rows, byModel };
  }

  close(): void {
    this.client.close();
  }
}

interface Field {
  name: string;
  type: string;
  isRequired: boolean;
  relationFromFields?: string[];
}

const MODELS = (getDatamodel() as unknown as { datamodel: { models: Record<string, { fields: Field[] }> } }).datamodel
  .models;

/** The reference that says whose a row is, where there are several. */
const NEAREST = ["Restoration", "Workshop", "ClubMember", "Club", "Account"];

const placeOf = ({ type }: Field): number => {
  const place = NEAREST.indexOf(type);
  return place === -1 ? NEAREST.length : place;
};

const PARENTS = new Map(
  MODEL_NAMES.map((model) => [
    model,
    MODELS[model]!.fields.filter((field) => field.relationFromFields?.length === 1 && field.isRequired)
      .sort((a, b) => placeOf(a) - placeOf(b))
      .map((field) => field.relationFromFields![0]!),
  ]),
);

/** Whose a row is, by the rows that it stands below. */
export function scopeOf({ rows }: Snapshot, id: string): Scope {
  const found = rows.get(id);
  if (found === undefined) return {};
  const { model, row } = found;
  const above = (column: string): Scope => scopeOf({ rows } as Snapshot, String(row[column]));
  const text = (column: string): string => String(row[column]);
  if (model === "Workshop") return { workshop: id, demo: row["demo"] === 1 };
  if (model === "Club") return { club: id };
  if (model === "Account") return { ...above("workshopId"), account: id };
  if (model === "AccountEvent") return { ...above("workshopId"), account: text("accountId") };
  if (model === "Restoration")
    return { ...above("workshopId"), restoration: id, owner: row["ownerAccountId"] as string | null };
  if (model === "ClubMember") return { club: text("clubId"), member: id };
  if (model === "Correspondence")
    return { ...above("wantId"), withheld: false, between: [above("wantId").member!, above("spareId").member!] };
  if (model === "MatchMessage")
    return { ...above("correspondenceId"), member: text("memberId"), withheld: row["withheldReason"] !== null };
  if (model === "ClubChange") return { club: text("clubId"), account: text("accountId") };
  const [parent] = PARENTS.get(model) ?? [];
  if (parent === undefined) return {};
  return { ...above(parent), ...("withheldReason" in row ? { withheld: row["withheldReason"] !== null } : {}) };
}
