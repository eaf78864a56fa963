import { useCallback, useMemo, useState } from "react";
import { connection, isAnswer } from "../shared/connection.ts";
import { deviceStore, newKey } from "../shared/device.ts";
import { type SaveOutcome, useSave } from "../shared/save.tsx";
import { useWaitingRows, type WaitingRow } from "../shared/waitingRows.ts";
import type { Subject } from "./photograph.ts";

/** A picture kept on this device until the server has it. */
export interface WaitingPhotograph extends WaitingRow {
  subject: Subject;
  picture: Blob;
  /** As it was called where it was chosen. */
  fileName: string;
}

const onDevice = deviceStore<WaitingPhotograph>("photographs");
/** Where the browser keeps nothing, as in some private windows: until the sheet is closed. */
const inMemory = new Map<string, WaitingPhotograph>();

const kept: typeof onDevice = {
  name: onDevice.name,
  one: async (key) => inMemory.get(key) ?? (await onDevice.one(key).catch(() => undefined)),
  all: async () => [...(await onDevice.all().catch(() => [])), ...inMemory.values()],
  put: async (row) => {
    try {
      await onDevice.put(row);
    } catch {
      inMemory.set(row.clientKey, row);
    }
  },
  drop: async (key) => {
    inMemory.delete(key);
    return onDevice.drop(key).catch(() => undefined);
  },
};

/** A picture of which nothing went on its way for so long is given up, and sent again. */
const STALLED_MS = 60_000;

interface Answer {
  id?: string;
  revision?: number;
  change?: { id: string; summary: string } | null;
  code?: string;
  message?: string;
}

/** How far one is: the share that is sent, or that nobody answered. */
export type Progress = number | "unanswered";

/** Pictures not yet sent, and the sending of them, one after the other. `added`: how many the server has taken since the page was opened. */
export function useSendingPhotographs() {
  const { tell } = useSave();
  const [added, setAdded] = useState(0);
  const [progress, setProgress] = useState<ReadonlyMap<string, Progress>>(new Map());
  const post = useCallback(
    async (_save: unknown, row: WaitingPhotograph): Promise<SaveOutcome> => {
      const mark = (share: Progress) => setProgress((now) => new Map(now).set(row.clientKey, share));
      mark(0);
      const answer = await sent(row, mark);
      if (answer === null) {
        mark("unanswered");
        return { kind: "unreachable", message: "The server did not answer." };
      }
      if (answer.id === undefined)
        return {
          kind: "refused",
          message: answer.message ?? "The server did not take it.",
          code: answer.code ?? "",
          rows: [],
        };
      if (answer.change) tell(answer.change);
      setAdded((count) => count + 1);
      return { kind: "saved", id: answer.id, revision: answer.revision ?? 1 };
    },
    [tell],
  );
  const waiting = useWaitingRows(kept, post);
  const { keep } = waiting;
  const add = useCallback(
    async (restoration: string, subject: Subject, pictures: readonly File[]) => {
      let notedAt = Date.now();
      for (const picture of pictures)
        await keep({
          clientKey: newKey(),
          restoration,
          notedAt: notedAt++,
          problem: null,
          subject,
          picture,
          fileName: picture.name,
        });
    },
    [keep],
  );
  return useMemo(() => ({ ...waiting, added, progress, add }), [waiting, added, progress, add]);
}

/** Sends one picture; null where nobody answered. A request tells how far it is only this way. */
function sent({ subject, picture }: WaitingPhotograph, mark: (share: number) => void): Promise<Answer | null> {
  return new Promise((resolve) => {
    const request = new XMLHttpRequest();
    const begun = Date.now();
    request.open("POST", `/photographs?${subject.kind}=${encodeURIComponent(subject.id)}`);
    request.setRequestHeader("content-type", picture.type || "application/octet-stream");
    let stalled = setTimeout(() => request.abort(), STALLED_MS);
    const goesOn = () => {
      clearTimeout(stalled);
      stalled = setTimeout(() => request.abort(), STALLED_MS);
    };
    request.upload.onprogress = ({ loaded, total }) => {
      mark(total > 0 ? loaded / total : 0);
      goesOn();
    };
    request.onloadend = () => clearTimeout(stalled);
    request.onload = () => {
      const answer = { status: request.status, headers: { get: (name: string) => request.getResponseHeader(name) } };
      connection.settle(answer, begun);
      if (!isAnswer(answer)) return resolve(null);
      try {
        resolve(JSON.parse(request.responseText) as Answer);
      } catch {
        resolve(null);
      }
    };
    request.onerror = () => resolve(null);
    request.onabort = () => resolve(null);
    request.send(picture);
  });
}
