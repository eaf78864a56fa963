/** The demo's club: its members, their workshops and restorations, and what they share. */
import { readFile } from "node:fs/promises";
import { fileURLToPath } from "node:url";
import { CLUB_FILE_NAMES } from "../server/io/clubColumns.ts";
import { clubFileSteps } from "../server/io/clubRead.ts";
import { readCsv } from "../server/io/csv.ts";
import { readFolder } from "../server/io/folder.ts";
import { applyImport, prepareImport } from "../server/io/import.ts";
import { atOnce } from "../server/io/slices.ts";
import type { Store } from "../server/store/client.ts";
import { clubFaultsOf } from "../server/store/clubRules.ts";
import { InvalidInput } from "../server/store/fault.ts";
import { type ClubMade, writeClubRows } from "./clubRows.ts";

const FOLDER = new URL("./club/", import.meta.url);

interface ClubFile {
  name: string;
  currency: string;
  entriesPerDay: number;
}

/** Somebody of members.csv. */
interface MemberRow {
  member: string;
  /** "restorer" has a workshop, "member" has none, blank is of the demo's own workshop. */
  role: string;
  workshop: string;
  account: string;
  joined_on: string;
  /** "yes": withholds rows and answers complaints. */
  steward: string;
}

/**
 * Adds the club to a database that holds the demo and no club yet; does nothing otherwise. Its figures are for the
 * demo's day of the figures. Throws InvalidInput when the files are faulty.
 */
export async function seedClub(store: Store): Promise<void> {
  const demo = await store.workshop.findFirst({ where: { demo: true }, include: { calendar: true } });
  if (demo === null || (await store.club.count()) > 0) return;
  await writeClubRows(
    store,
    await people(store, demo.id, demo.calendar?.figuresFor ?? null),
    JSON.parse(await text("club.json")),
  );
}

const text = (name: string): Promise<string> => readFile(new URL(name, FOLDER), "utf8");

async function people(store: Store, workshopId: string, figuresFor: string | null): Promise<ClubMade> {
  const { name, currency, entriesPerDay } = JSON.parse(await text("club.json")) as ClubFile;
  const given = atOnce(clubFileSteps(await files(), currency));
  const rows = await memberRows();
  const faults = [
    ...given.faults,
    ...rows.flatMap(({ member, joined_on: joinedOn }, i) =>
      clubFaultsOf("clubMember", { name: member, joinedOn }, { file: "members.csv", row: String(i + 2) }),
    ),
  ];
  if (faults.length > 0) throw new InvalidInput(faults);
  const made = await store.$transaction(async (tx) => {
    const club = await tx.club.create({ data: { name, currency, entriesPerDay, figuresFor } });
    const names = [...new Set(rows.filter(({ role }) => role !== "").map(({ workshop }) => workshop || name))];
    const added = await tx.workshop.createManyAndReturn({ data: names.map((name) => ({ name })) });
    const shops = new Map([...added.map(({ name, id }) => [name, id] as const), ["", workshopId]]);
    const shopOf = ({ role, workshop }: MemberRow): string => shops.get(role === "" ? "" : workshop || name)!;
    const known = await tx.account.findMany({ where: { workshopId } });
    const accounts = await tx.account.createManyAndReturn({
      data: rows
        .filter(({ role }) => role !== "")
        .map((row) => ({
          workshopId: shopOf(row),
          name: row.account,
          role: row.role === "restorer" ? ("RESTORER" as const) : ("MEMBER" as const),
        })),
    });
    const ids = new Map([...known, ...accounts].map(({ workshopId, name, id }) => [`${workshopId} ${name}`, id]));
    const joined = await tx.clubMember.createManyAndReturn({
      data: rows.map((row) => ({
        clubId: club.id,
        accountId: ids.get(`${shopOf(row)} ${row.account}`)!,
        name: row.member,
        joinedOn: row.joined_on,
        steward: row.steward === "yes",
      })),
    });
    const memberIds = new Map(joined.map(({ name, id }) => [name, id]));
    const members = rows.map((row) => {
      const workshopId = shopOf(row);
      const member = {
        id: memberIds.get(row.member)!,
        accountId: ids.get(`${workshopId} ${row.account}`)!,
        workshopId,
      };
      return [row.member, member] as const;
    });
    return { club, members: new Map(members) };
  });
  for (const { member, role, workshop } of rows)
    if (role === "restorer") {
      const { workshopId, accountId } = made.members.get(member)!;
      await restoration(store, workshop, workshopId, accountId);
    }
  return { ...made, given: given.rows };
}

/** A workshop's restoration, through the same import as everybody's files. */
async function restoration(store: Store, workshop: string, workshopId: string, accountId: string): Promise<void> {
  const folder = /\w+/.exec(workshop.toLowerCase().replace(/^the /, ""))![0];
  const set = await readFolder(fileURLToPath(new URL(`restorations/${folder}`, FOLDER)));
  await applyImport(store, await prepareImport(store, set, { workshopId, accountId, restorationId: null }));
}

async function files(): Promise<Map<string, Uint8Array>> {
  return new Map(
    await Promise.all(
      CLUB_FILE_NAMES.map(async (name) => [name, new Uint8Array(await readFile(new URL(name, FOLDER)))] as const),
    ),
  );
}

async function memberRows(): Promise<MemberRow[]> {
  const { header, records, faults } = readCsv(
    "members.csv",
    new Uint8Array(await readFile(new URL("members.csv", FOLDER))),
  );
  if (faults.length > 0) throw new InvalidInput(faults);
  return records.map(({ cells }) => Object.fromEntries(header.map((name, i) => [name, cells[i] ?? ""])) as never);
}
