import { deviceStore } from "../shared/device.ts";
import type { useSave } from "../shared/save.tsx";
import { useWaitingRows, type Waiting } from "../shared/waitingRows.ts";
import { FIND_LABELS, SaveFind, type WaitingFind } from "./find.ts";

const kept = deviceStore<WaitingFind>("finds");
const post = (save: ReturnType<typeof useSave>["save"], { input }: WaitingFind) =>
  save(SaveFind, { input }, { unasked: true });
/** The find is on the server by now: what was changed here since is a change of that one. */
const changedSince = (find: WaitingFind, { id, revision }: { id: string; revision: number }): WaitingFind => ({
  ...find,
  input: { ...find.input, id, revision },
});

/** Finds not yet sent, and the sending of them. */
export const useSendingFinds = () => useWaitingRows(kept, post, changedSince, FIND_LABELS);

export type WaitingFinds = Waiting<WaitingFind>;
