/** What a change answers: saved, or one of the failures that are expected. They are data; only mistakes of the program throw. */

import { mayWrite } from "../../access/rules.ts";
import type { Viewer } from "../../access/viewer.ts";
import type { Change as ChangeRow, ClubChange as ClubChangeRow } from "../../generated/prisma/client.ts";
import { type Difference, type Fault, InvalidInput, Refused, StaleRow } from "../../store/fault.ts";
import { complaintOf } from "../../store/rules.ts";
import { builder } from "./builder.ts";
import { Change } from "./changeEntry.ts";
import type { Context } from "./context.ts";
import { connectionOf } from "./page.ts";

export interface Saved {
  is: "Saved";
  change: ChangeRow;
  id: string;
  revision: number;
}
/** Saved in the club, whose record of changes is its own. */
export interface ClubSaved {
  is: "ClubSaved";
  change: ClubChangeRow;
  id: string;
  revision: number;
}
interface Invalid {
  is: "InvalidInput";
  code: string;
  message: string;
  faults: readonly Fault[];
}
interface Stale {
  is: "StaleRow";
  code: string;
  message: string;
  id: string;
  revision: number;
  row?: string | undefined;
  differences: readonly Difference[];
}
interface NotNow {
  is: "Refused";
  code: string;
  message: string;
  rows: readonly string[];
}
type Result = Saved | ClubSaved | Invalid | Stale | NotNow;

export const FaultType = builder.objectRef<Fault>("Fault").implement({
  description: "The one shape of everything that can be wrong with input.",
  fields: (t) => ({
    code: t.string({ description: "For programs; stable.", resolve: (fault) => fault.code }),
    message: t.exposeString("message", { description: "For people." }),
    complaint: t.string({
      nullable: true,
      description:
        "The message without the field's name before it and its value after it, such as \"must be at most 100\": to stand after a label of one's own. Null where the message is a sentence of its own.",
      resolve: complaintOf,
    }),
    file: t.string({ nullable: true, resolve: (fault) => fault.file }),
    row: t.string({ nullable: true, description: "Line in the file, or the row's id or code.", resolve: (f) => f.row }),
    field: t.string({ nullable: true, resolve: (fault) => fault.field }),
    value: t.string({ nullable: true, resolve: (fault) => fault.value }),
    rows: t.stringList({
      description: "Rows that belong to the fault, such as the path of a cycle.",
      resolve: (fault) => [...(fault.rows ?? [])],
    }),
  }),
});

export const FaultConnection = connectionOf("Fault", FaultType);

const DifferenceType = builder.objectRef<Difference>("Difference").implement({
  fields: (t) => ({
    field: t.exposeString("field"),
    theirs: t.exposeString("theirs"),
    yours: t.exposeString("yours"),
  }),
});

const SavedType = builder.objectRef<Saved>("Saved").implement({
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    change: t.field({ type: Change, resolve: (saved) => saved.change }),
  }),
});

const ClubChange = builder.prismaObject("ClubChange", {
  fields: (t) => ({
    id: t.exposeID("id"),
    at: t.expose("at", { type: "DateTime" }),
    summary: t.exposeString("summary"),
  }),
});

const ClubSavedType = builder.objectRef<ClubSaved>("ClubSaved").implement({
  description: "Saved in the club; undo takes its change back too.",
  fields: (t) => ({
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    clubChange: t.field({ type: ClubChange, resolve: (saved) => saved.change }),
  }),
});

export const InvalidInputType = builder.objectRef<Invalid>("InvalidInput").implement({
  fields: (t) => ({
    code: t.exposeString("code"),
    message: t.exposeString("message"),
    faults: t.field({ type: [FaultType], resolve: (failure) => [...failure.faults] }),
  }),
});

export const StaleRowType = builder.objectRef<Stale>("StaleRow").implement({
  fields: (t) => ({
    code: t.exposeString("code"),
    message: t.exposeString("message"),
    id: t.exposeID("id"),
    revision: t.exposeInt("revision"),
    row: t.string({
      nullable: true,
      description: "Of several that are changed together, the one that it is, in words.",
      resolve: (failure) => failure.row,
    }),
    differences: t.field({ type: [DifferenceType], resolve: (failure) => [...failure.differences] }),
  }),
});

export const RefusedType = builder.objectRef<NotNow>("Refused").implement({
  fields: (t) => ({
    code: t.exposeString("code"),
    message: t.exposeString("message"),
    rows: t.stringList({ resolve: (failure) => [...failure.rows] }),
  }),
});

export const SaveResult = builder.unionType("SaveResult", {
  types: [SavedType, ClubSavedType, InvalidInputType, StaleRowType, RefusedType],
  resolveType: (result) => (result as Result).is,
});

/** Runs a change for a viewer who may do it, which is to write unless said; a failure that is expected becomes the answer. */
export async function saving(
  context: Context,
  work: () => Promise<Omit<Saved, "is"> | ClubSaved>,
  may: (viewer: Viewer) => void = mayWrite,
): Promise<Result> {
  try {
    may(context.viewer);
    return { is: "Saved", ...(await work()) };
  } catch (error) {
    const { message } = error as Error;
    if (error instanceof InvalidInput) return { is: "InvalidInput", code: error.code, message, faults: error.faults };
    if (error instanceof Refused) return { is: "Refused", code: error.code, message, rows: error.rows };
    if (error instanceof StaleRow) {
      const { code, id, revision, row, differences } = error;
      return { is: "StaleRow", code, message, id, revision, row, differences };
    }
    throw error;
  } finally {
    context.forget();
  }
}
