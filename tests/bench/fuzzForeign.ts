/** What an asker may change and be told, in words of whose rows they are: looser than the program's own rules, and apart from them. */
import { type Asker, type Row, type Scope, type Snapshot, scopeOf } from "./fuzzWorld.ts";

/** Rows that changed between two moments and are not the asker's to change, in words. */
export function foreignChanges(asker: Asker, before: Snapshot, after: Snapshot): string[] {
  const foreign: string[] = [];
  for (const id of new Set([...before.rows.keys(), ...after.rows.keys()])) {
    const [old, now] = [before.rows.get(id), after.rows.get(id)];
    if (old === now || old?.text === now?.text) continue;
    const { model } = (old ?? now)!;
    const scope = scopeOf(old === undefined ? after : before, id);
    if (!mayChange(asker, model, scope, old?.row, now?.row))
      foreign.push(`${model} ${id} changed: ${differences(old?.row, now?.row)}`);
  }
  return foreign;
}

function differences(old: Row | undefined, now: Row | undefined): string {
  if (old === undefined) return `added ${JSON.stringify(now).slice(0, 300)}`;
  if (now === undefined) return `removed ${JSON.stringify(old).slice(0, 300)}`;
  return changedColumns(old, now)
    .map((column) => `${column} ${JSON.stringify(old[column])} became ${JSON.stringify(now[column])}`)
    .join(", ")
    .slice(0, 500);
}

const changedColumns = (old: Row, now: Row): string[] =>
  Object.keys({ ...old, ...now }).filter((column) => old[column] !== now[column]);

/** Rows that follow a name put down, whosever it is: the batch, its deposits, and the quotes that stand for it in plans. */
function followsNameDown(model: string, old: Row | undefined, now: Row | undefined): boolean {
  if (old === undefined || now === undefined) return false;
  if (model === "Batch" || model === "NameDown") return true;
  if (model === "Quote") return old["batchId"] !== null;
  return model === "Restoration" && isRenewed(old, now);
}

/** Figures are worked out anew, and nothing else: what a new name of an account does to all that its workshop shows of it. */
const isRenewed = (old: Row, now: Row): boolean =>
  changedColumns(old, now).every((column) => column === "planRevision");

/** What an owner's answer to a decision, or a question back, and a change of the own account write. */
const OF_AN_OWNER = ["Decision", "DecisionQuestion", "Change", "Restoration"];

/** In the demo anybody looks on as any of its people. */
const takenOn = (model: string, { demo }: Scope, old: Row | undefined): boolean =>
  demo === true && old === undefined && (model === "SignIn" || model === "AccountEvent");

function mayChange(asker: Asker, model: string, scope: Scope, old: Row | undefined, now: Row | undefined): boolean {
  const { viewer, memberId, clubSteward } = asker;
  if (takenOn(model, scope, old)) return true;
  if (viewer.role === "NOBODY") return false;
  if (memberId !== null && followsNameDown(model, old, now)) return true;
  if (scope.club !== undefined) {
    if (memberId === null) return scope.account === viewer.accountId || model === "ClubMember";
    if (clubSteward || scope.member === memberId || scope.between?.includes(memberId)) return true;
    return scope.account === viewer.accountId;
  }
  if (scope.workshop !== viewer.workshopId) return false;
  if (model === "Restoration" && old !== undefined && now !== undefined && isRenewed(old, now)) return true;
  if (scope.restoration === undefined) {
    if (scope.account !== undefined) return viewer.admin || scope.account === viewer.accountId;
    return viewer.role === "RESTORER";
  }
  if (viewer.role === "OWNER") return scope.owner === viewer.accountId && OF_AN_OWNER.includes(model);
  return viewer.role === "RESTORER";
}

/** Ids in an answer whose rows the asker may not know of, in words. */
export function foreignAnswers(asker: Asker, { data }: { data?: unknown }, snapshots: readonly Snapshot[]): string[] {
  const ids = new Set<string>();
  collect(data, ids);
  return [...ids].flatMap((id) => {
    const snapshot = snapshots.find(({ rows }) => rows.has(id));
    if (snapshot === undefined) return [];
    const { model } = snapshot.rows.get(id)!;
    // A row that was withheld or passed on meanwhile may have been the asker's to know when the answer was made.
    const told = snapshots.some((one) => one.rows.has(id) && mayKnow(asker, model, scopeOf(one, id)));
    return told ? [] : [`told of ${model} ${id}`];
  });
}

function collect(value: unknown, ids: Set<string>): void {
  if (Array.isArray(value)) for (const one of value) collect(one, ids);
  else if (typeof value === "object" && value !== null)
    for (const [key, inner] of Object.entries(value)) {
      if (typeof inner === "string" && /(^|_)id$/.test(key)) ids.add(inner);
      else collect(inner, ids);
    }
}

function mayKnow({ viewer, memberId, clubSteward }: Asker, model: string, scope: Scope): boolean {
  // The people of the demo are told to whoever looks at it.
  if (model === "Account" && scope.demo) return true;
  if (viewer.role === "NOBODY") return false;
  if (scope.club !== undefined) {
    if (viewer.role === "OWNER") return false;
    if (model === "Club") return true;
    if (memberId === null) return false;
    if (scope.member === memberId || clubSteward) return true;
    if (scope.between !== undefined) return scope.between.includes(memberId);
    return !scope.withheld;
  }
  if (scope.workshop !== viewer.workshopId) return false;
  if (viewer.role !== "OWNER") return true;
  return scope.restoration === undefined || scope.owner === viewer.accountId;
}
