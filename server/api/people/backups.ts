/** The workshop's backups: whether one is written each night, and how old the newest is. For its admins. */
import { mayAdminister } from "../../access/rules.ts";
import type { BackupState, Kept } from "../../io/nightlyBackups.ts";
import { InvalidInput } from "../../store/fault.ts";
import { checkFresh } from "../../store/journal.ts";
import { faultsOf } from "../../store/rules.ts";
import { builder } from "../core/builder.ts";
import type { Context } from "../core/context.ts";
import { AccountResult, answering } from "./accountResult.ts";

const Backup = builder.objectRef<Kept>("Backup").implement({
  description: "A backup in the data folder's folder of backups.",
  fields: (t) => ({
    name: t.exposeString("name", { description: "Of its file." }),
    madeAt: t.expose("madeAt", { type: "DateTime" }),
    photographs: t.exposeInt("photographs"),
    bytes: t.exposeFloat("bytes", { description: "Of the whole file." }),
    wrong: t.exposeInt("wrong", {
      description: "Photographs and small copies that were missing or altered already when it was made.",
    }),
  }),
});

const BackupFailed = builder.objectRef<NonNullable<BackupState["failed"]>>("BackupFailed").implement({
  fields: (t) => ({ at: t.expose("at", { type: "DateTime" }), why: t.exposeString("why") }),
});

interface Row extends BackupState {
  revision: number;
  nightlyBackups: boolean;
  backupsKept: number;
}

const Backups = builder.objectRef<Row>("Backups").implement({
  fields: (t) => ({
    revision: t.exposeInt("revision", { description: "The workshop's." }),
    nightly: t.exposeBoolean("nightlyBackups", { description: "Whether one is written each night, from three on." }),
    kept: t.exposeInt("backupsKept", { description: "How many nightly backups are kept." }),
    newest: t.field({
      type: Backup,
      nullable: true,
      description: "Absent where there is none.",
      resolve: (row) => row.newest,
    }),
    failed: t.field({
      type: BackupFailed,
      nullable: true,
      description: "The last try, where it failed; it is made again by itself.",
      resolve: (row) => row.failed,
    }),
  }),
});

builder.queryField("backups", (t) =>
  t.field({
    type: Backups,
    resolve: async (_root, _args, { store, viewer, backups }) => {
      mayAdminister(viewer);
      const workshop = await store.workshop.findUniqueOrThrow({ where: { id: viewer.workshopId } });
      return { ...workshop, ...(await (backups?.state() ?? { newest: null, failed: null })) };
    },
  }),
);

const BackupsInput = builder.inputType("BackupsInput", {
  fields: (t) => ({
    revision: t.int({ required: true, description: "The workshop's, as it was read." }),
    nightly: t.boolean(),
    kept: t.int({ description: "From 1 to 100." }),
  }),
});

builder.mutationField("saveBackups", (t) =>
  t.field({
    type: AccountResult,
    description:
      "Changes whether a backup is written each night and how many are kept; answers with the own account's id.",
    args: { input: t.arg({ type: BackupsInput, required: true }) },
    resolve: (_root, { input }, context) => answering(() => save(context, input)),
  }),
);

async function save({ store, viewer }: Context, { revision, nightly, kept }: typeof BackupsInput.$inferInput) {
  mayAdminister(viewer);
  const faults = kept == null ? [] : faultsOf("backups", { kept });
  if (faults.length > 0) throw new InvalidInput(faults);
  await store.$transaction(async (tx) => {
    const row = await tx.workshop.findUniqueOrThrow({ where: { id: viewer.workshopId } });
    const wanted = { nightlyBackups: nightly ?? row.nightlyBackups, backupsKept: kept ?? row.backupsKept };
    checkFresh(row, revision, wanted);
    await tx.workshop.update({ where: { id: row.id }, data: { ...wanted, revision: { increment: 1 } } });
  });
  return { id: viewer.accountId };
}
