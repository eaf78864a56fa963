import type { useSave } from "../shared/save.tsx";
import { useWaitingRows } from "../shared/waitingRows.ts";
import { BookHours } from "./hours.ts";
import { bookings, type WaitingHours } from "./kept.ts";

const post = (save: ReturnType<typeof useSave>["save"], { input }: WaitingHours) =>
  save(BookHours, { input }, { unasked: true });

const LABELS = { hours: "Hours worked", remainingHours: "Hours still to do", workedOn: "Worked on", notes: "Notes" };

/** Hours not yet sent, and the sending of them. */
export const useSendingHours = () => useWaitingRows(bookings, post, undefined, LABELS);
