import { deviceStore } from "../shared/device.ts";
import type { useSave } from "../shared/save.tsx";
import { useWaitingRows } from "../shared/waitingRows.ts";
import { SaveFind, type WaitingFind } from "./find.ts";

const kept = deviceStore<WaitingFind>("finds");
const post = (save: ReturnType<typeof useSave>["save"], find: WaitingFind) => save(SaveFind, { input: find.input });

/** Finds not yet sent, and the sending of them. */
export function useWaitingFinds(restoration: string, onLine: boolean) {
  const { rows, ...rest } = useWaitingRows(restoration, onLine, kept, post);
  return { finds: rows, ...rest };
}

export type WaitingFinds = ReturnType<typeof useWaitingFinds>;
