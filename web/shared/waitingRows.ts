import { useCallback, useEffect, useMemo, useRef, useState } from "react";
import { connection } from "./connection.ts";
import { type deviceStore, newKey } from "./device.ts";
import { faultWords } from "./fault.ts";
import { NOT_SIGNED_IN, type SaveOutcome, useSave } from "./save.tsx";

/** A row kept on this device until it is sent. */
export interface WaitingRow {
  clientKey: string;
  restoration: string;
  /** Milliseconds since 1970. */
  notedAt: number;
  /** Why it was not taken, in words; null while it only waits for the server. */
  problem: string | null;
  /** The code of a refusal. */
  problemCode?: string | undefined;
  /** Another one after each change here, so that what is changed while it is being sent is not taken for sent. */
  version?: string | undefined;
}

type Save = ReturnType<typeof useSave>["save"];
const asItIs = <Row>(row: Row): Row => row;
const NONE: Readonly<Record<string, string>> = {};
type Settled = Exclude<SaveOutcome, { kind: "unreachable" }>;

/**
 * Rows not yet sent, of every restoration, and the sending of them: once noted, when the page is opened, whenever the
 * server answers again, and when asked. What is not taken stays, with its reason, and is sent again only when asked.
 * `kept`, `post` and `changedSince` must stay the same between renders. `sentElsewhere` rises each time another tab has
 * sent one, so that what the server holds is read anew here too.
 * @param changedSince a row that was changed here while it was being sent, as it is to be sent then
 * @param labels of the fields, for what is not taken; it must stay the same too
 */
export function useWaitingRows<Row extends WaitingRow>(
  kept: ReturnType<typeof deviceStore<Row>>,
  post: (save: Save, row: Row) => Promise<SaveOutcome>,
  changedSince: (row: Row, saved: { id: string; revision: number }) => Row = asItIs,
  labels: Readonly<Record<string, string>> = NONE,
) {
  const { save } = useSave();
  const [rows, setRows] = useState<readonly Row[]>([]);
  const [sending, setSending] = useState(false);
  const [signedOut, setSignedOut] = useState(false);
  const [sentElsewhere, setSentElsewhere] = useState(0);
  const busy = useRef(false);
  const onceMore = useRef(false);
  const tellTabs = useRef<(what: "kept" | "sent") => void>(() => undefined);

  /** In the order in which they were noted. */
  const waiting = useCallback(async () => (await kept.all()).sort((one, other) => one.notedAt - other.notedAt), [kept]);

  const read = useCallback(async () => {
    try {
      setRows(await waiting());
    } catch {
      setRows([]);
    }
  }, [waiting]);

  /** Keeps what became of one row; of a row changed or thrown away meanwhile that alone which is still true. */
  const settle = useCallback(
    async (row: Row, outcome: Settled) => {
      const now = await kept.one(row.clientKey);
      if (now === undefined) return;
      const same = now.version === row.version;
      if (outcome.kind === "saved" && !same) await kept.put(changedSince(now, outcome));
      else if (outcome.kind === "saved" || outcome.kind === "theirs") await kept.drop(row.clientKey);
      else if (same) await kept.put({ ...now, ...problemOf(outcome, labels) });
    },
    [kept, changedSince, labels],
  );

  /** Sends one row, unless it is gone or another tab is sending it; "stop" where the others would fare no better. */
  const sendOne = useCallback(
    async (clientKey: string): Promise<"on" | "stop" | "elsewhere"> => {
      const done = await ifFree(`${kept.name} ${clientKey}`, async () => {
        const row = await kept.one(clientKey);
        if (row === undefined) return "on";
        const begun = Date.now();
        const outcome = await post(save, row);
        if (outcome.kind === "unreachable") {
          connection.unanswered(begun);
          return "stop";
        }
        if ("code" in outcome && outcome.code === NOT_SIGNED_IN) {
          setSignedOut(true);
          return "stop";
        }
        setSignedOut(false);
        await settle(row, outcome);
        return "on";
      });
      return done ?? "elsewhere";
    },
    [kept, post, save, settle],
  );

  /** `all`: those too that were not taken before. */
  const send = useCallback(
    async (all: boolean) => {
      if (busy.current) {
        onceMore.current = true;
        return;
      }
      busy.current = true;
      try {
        const tried = new Set<string>();
        // Read anew after each, so that what is noted meanwhile is sent too.
        for (;;) {
          onceMore.current = false;
          const row = (await waiting()).find(
            ({ clientKey, problem, version = "" }) =>
              !tried.has(`${clientKey} ${version}`) && (all || problem === null),
          );
          if (row === undefined) {
            if (onceMore.current) continue;
            break;
          }
          const what = `${row.clientKey} ${row.version ?? ""}`;
          tried.add(what);
          setSending(true);
          const done = await sendOne(row.clientKey);
          if (done === "stop") break;
          if (done === "elsewhere")
            void whenFree(`${kept.name} ${row.clientKey}`).then(() => {
              // This round may still be going on: the row is no longer one that it has tried.
              tried.delete(what);
              return send(false);
            });
          tellTabs.current("sent");
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
    [kept, sendOne, read, waiting],
  );

  useEffect(() => {
    void read();
    void send(false);
    return connection.atGoodMoments(() => void send(false));
  }, [read, send]);

  useEffect(() => {
    if (typeof BroadcastChannel === "undefined") return;
    const tabs = new BroadcastChannel(`lastbolt unsent ${kept.name}`);
    tabs.onmessage = ({ data }) => {
      void read();
      if (data === "sent") setSentElsewhere((count) => count + 1);
    };
    tellTabs.current = (what) => tabs.postMessage(what);
    return () => {
      tellTabs.current = () => undefined;
      tabs.close();
    };
  }, [kept, read]);

  const keep = useCallback(
    async (row: Row) => {
      await kept.put({ ...row, version: newKey() });
      tellTabs.current("kept");
      await read();
      connection.beginAnew();
      void send(false);
    },
    [kept, read, send],
  );
  const drop = useCallback(
    async (clientKey: string) => {
      await kept.drop(clientKey);
      tellTabs.current("kept");
      await read();
    },
    [kept, read],
  );
  const sendAll = useCallback(() => {
    connection.beginAnew();
    return send(true);
  }, [send]);
  return useMemo(
    () => ({ rows, sending, signedOut, sentElsewhere, keep, drop, send: sendAll }),
    [rows, sending, signedOut, sentElsewhere, keep, drop, sendAll],
  );
}

/** What waits on this device, and what can be done about it. */
export type Waiting<Row extends WaitingRow> = ReturnType<typeof useWaitingRows<Row>>;

/** Does `act` unless another tab does the same now; undefined then. Without locks the server's own care is left: it stores a row sent twice once. */
async function ifFree<Result>(name: string, act: () => Promise<Result>): Promise<Result | undefined> {
  if (!("locks" in navigator)) return act();
  return navigator.locks.request(`lastbolt ${name}`, { ifAvailable: true }, (lock) =>
    lock === null ? undefined : act(),
  );
}

/** Returns once the other tab has done with it, or was closed. */
const whenFree = (name: string): Promise<void> => navigator.locks.request(`lastbolt ${name}`, async () => undefined);

function problemOf(
  outcome: Exclude<Settled, { kind: "saved" | "theirs" }>,
  labels: Readonly<Record<string, string>>,
): Pick<WaitingRow, "problem" | "problemCode"> {
  if (outcome.kind === "putOff")
    return {
      problem: "It was changed elsewhere since it was read here. Both are kept; send it to choose which to keep.",
    };
  if (outcome.kind === "faults")
    return {
      problem: outcome.faults.map((fault) => faultWords(fault, labels[fault.field ?? ""])).join(" ") || outcome.message,
    };
  return { problem: outcome.kind === "failed" ? outcome.reason : outcome.message, problemCode: outcome.code };
}
