import { useCallback, useEffect, useRef, useState } from "react";
import type { deviceStore } from "./device.ts";
import { type SaveOutcome, useSave } from "./save.tsx";

/** A row kept on this device until it is sent. */
export interface WaitingRow {
  clientKey: string;
  restoration: string;
  /** Milliseconds since 1970. */
  notedAt: number;
  /** Why it was not taken, in words; null while it only waits for a connection. */
  problem: string | null;
  /** The code of a refusal. */
  problemCode?: string | undefined;
}

type Save = ReturnType<typeof useSave>["save"];

/**
 * Rows not yet sent, and the sending of them: once noted, once the device is on line again, and when asked. What is not
 * taken stays, with its reason. `kept` and `post` must stay the same between renders.
 */
export function useWaitingRows<Row extends WaitingRow>(
  restoration: string,
  onLine: boolean,
  kept: ReturnType<typeof deviceStore<Row>>,
  post: (save: Save, row: Row) => Promise<SaveOutcome>,
) {
  const { save } = useSave();
  const [rows, setRows] = useState<readonly Row[]>([]);
  const [sending, setSending] = useState(false);
  const busy = useRef(false);

  /** In the order in which they were noted. */
  const waiting = useCallback(async () => {
    const all = await kept.all();
    return all.filter((row) => row.restoration === restoration).sort((one, other) => one.notedAt - other.notedAt);
  }, [kept, restoration]);

  const read = useCallback(async () => {
    try {
      setRows(await waiting());
    } catch {
      setRows([]);
    }
  }, [waiting]);

  /** `all`: those too that were not taken before. */
  const send = useCallback(
    async (all: boolean) => {
      if (busy.current || !navigator.onLine) return;
      busy.current = true;
      setSending(true);
      try {
        const tried = new Set<string>();
        // Read anew after each, so that what is noted meanwhile is sent too.
        for (;;) {
          const row = (await waiting()).find(
            ({ clientKey, problem }) => !tried.has(clientKey) && (all || problem === null),
          );
          if (row === undefined) break;
          tried.add(row.clientKey);
          const outcome = await post(save, row);
          if (outcome.kind === "saved" || outcome.kind === "theirs") await kept.drop(row.clientKey);
          else if (outcome.kind === "unreachable") break;
          else await kept.put({ ...row, ...problemOf(outcome) });
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
    [kept, post, save, read, waiting],
  );

  useEffect(() => {
    void read();
    if (onLine) void send(false);
  }, [read, send, onLine]);

  const keep = useCallback(
    async (row: Row) => {
      await kept.put(row);
      await read();
      void send(false);
    },
    [kept, read, send],
  );
  const drop = useCallback(
    async (clientKey: string) => {
      await kept.drop(clientKey);
      await read();
    },
    [kept, read],
  );
  return { rows, sending, keep, drop, send: () => send(true) };
}

function problemOf(
  outcome: Exclude<SaveOutcome, { kind: "saved" | "theirs" | "unreachable" }>,
): Pick<WaitingRow, "problem" | "problemCode"> {
  if (outcome.kind === "putOff")
    return {
      problem: "It was changed elsewhere since it was read here. Both are kept; send it to settle which stands.",
    };
  if (outcome.kind === "faults")
    return { problem: outcome.faults.map(({ message }) => message).join(" ") || outcome.message };
  return { problem: outcome.message, problemCode: outcome.code };
}
