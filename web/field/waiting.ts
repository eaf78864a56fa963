import { useCallback, useEffect, useRef, useState } from "react";
import { useSave } from "../shared/save.tsx";
import { dropFind, keepFind, waitingFinds } from "./device.ts";
import { SaveFind, type WaitingFind } from "./find.ts";

/** Finds not yet sent, and the sending of them: once noted, once the device is on line again, and when asked. */
export function useWaitingFinds(restoration: string, onLine: boolean) {
  const { save } = useSave();
  const [finds, setFinds] = useState<readonly WaitingFind[]>([]);
  const [sending, setSending] = useState(false);
  const busy = useRef(false);

  const read = useCallback(async () => {
    try {
      setFinds(await waitingFinds(restoration));
    } catch {
      setFinds([]);
    }
  }, [restoration]);

  /** `all`: those too that were not taken before. */
  const send = useCallback(
    async (all: boolean) => {
      if (busy.current || !navigator.onLine) return;
      busy.current = true;
      setSending(true);
      try {
        for (const find of await waitingFinds(restoration)) {
          if (find.problem !== null && !all) continue;
          const outcome = await save(SaveFind, { input: find.input });
          if (outcome.kind === "saved" || outcome.kind === "theirs") await dropFind(find.clientKey);
          else if (outcome.kind === "unreachable") break;
          else await keepFind({ ...find, problem: problemOf(outcome) });
          await read();
        }
      } catch {
        // Nothing can be read from this device now; what is kept there stays.
      } finally {
        busy.current = false;
        setSending(false);
        await read();
      }
    },
    [restoration, save, read],
  );

  useEffect(() => {
    void read();
    if (onLine) void send(false);
  }, [read, send, onLine]);

  const keep = useCallback(
    async (find: WaitingFind) => {
      await keepFind(find);
      await read();
      void send(false);
    },
    [read, send],
  );
  const drop = useCallback(
    async (clientKey: string) => {
      await dropFind(clientKey);
      await read();
    },
    [read],
  );
  return { finds, sending, keep, drop, send: () => send(true) };
}

export type WaitingFinds = ReturnType<typeof useWaitingFinds>;

type NotTaken = Exclude<
  Awaited<ReturnType<ReturnType<typeof useSave>["save"]>>,
  { kind: "saved" | "theirs" | "unreachable" }
>;

function problemOf(outcome: NotTaken): string {
  if (outcome.kind === "putOff")
    return "It was changed elsewhere since it was read here. Both are kept; send it to settle which stands.";
  if (outcome.kind === "faults") return outcome.faults.map(({ message }) => message).join(" ") || outcome.message;
  return outcome.message;
}
