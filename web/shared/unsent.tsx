import { createContext, type ReactNode, useContext, useEffect, useMemo, useRef, useState } from "react";
import { useSendingFinds } from "../field/waiting.ts";
import { useSendingHours } from "../hours/waiting.ts";
import { useSendingPhotographs } from "../photographs/waiting.ts";
import { useConnection } from "./connection.ts";
import { counted } from "./format.ts";
import type { WaitingRow } from "./waitingRows.ts";

interface Unsent {
  finds: ReturnType<typeof useSendingFinds>;
  hours: ReturnType<typeof useSendingHours>;
  photographs: ReturnType<typeof useSendingPhotographs>;
}

const UnsentContext = createContext<Unsent | null>(null);

/** Sends what was noted without a connection, whichever sheet is open. Stands within a SaveProvider. */
export function UnsentProvider({ children }: { children: ReactNode }) {
  const finds = useSendingFinds();
  const hours = useSendingHours();
  const photographs = useSendingPhotographs();
  const unsent = useMemo(() => ({ finds, hours, photographs }), [finds, hours, photographs]);
  return <UnsentContext value={unsent}>{children}</UnsentContext>;
}

/** What of one kind waits on this device for a restoration. */
export function useUnsent<Kind extends keyof Unsent>(kind: Kind, restoration: string): Unsent[Kind] {
  const context = useContext(UnsentContext);
  if (!context) throw new Error("useUnsent stands outside of an UnsentProvider.");
  const all: Unsent[Kind] = context[kind];
  return useMemo(
    () => ({ ...all, rows: (all.rows as readonly WaitingRow[]).filter((row) => row.restoration === restoration) }),
    [all, restoration],
  ) as Unsent[Kind];
}

/** Calls `again` each time a count has risen. */
export function useAgainAfter(count: number, again: () => void): void {
  const before = useRef(count);
  useEffect(() => {
    if (count !== before.current) again();
    before.current = count;
  });
}

interface UnsentWordsProps {
  waiting: {
    rows: readonly WaitingRow[];
    sending: boolean;
    signedOut: boolean;
    send: () => Promise<void>;
  };
  /** "find", "booking" */
  noun: string;
}

/** How many are kept on this device, what becomes of them, and the button to send them now. */
export function UnsentWords({ waiting: { rows, sending, signedOut, send }, noun }: UnsentWordsProps) {
  const { answers, againAt } = useConnection();
  const refused = rows.every(({ problem }) => problem !== null);
  return (
    <div className="row unsent no-print">
      <p>
        <span role="status">{counted(rows.length, noun)} kept on this device</span>
        {signedOut ? (
          ": you are signed out. Sign in, and what waits is sent."
        ) : refused ? (
          ": not taken, for the reason given with each."
        ) : answers ? (
          "."
        ) : (
          <>
            ; the server does not answer, <TryingAgain at={sending ? null : againAt} />.
          </>
        )}
      </p>
      {signedOut && (
        <button type="button" className="main" onClick={() => window.location.reload()}>
          Sign in
        </button>
      )}
      <button type="button" disabled={sending} onClick={() => void send()}>
        {sending && answers ? "Sending …" : "Send now"}
      </button>
    </div>
  );
}

/** "trying again in 20 s"; a reader of the screen is not told each second. */
function TryingAgain({ at }: { at: number | null }) {
  const [now, setNow] = useState(() => Date.now());
  useEffect(() => {
    if (at === null) return;
    setNow(Date.now());
    const tick = setInterval(() => setNow(Date.now()), 1_000);
    return () => clearInterval(tick);
  }, [at]);
  if (at === null) return "trying again now";
  const seconds = Math.max(1, Math.ceil((at - now) / 1_000));
  return `trying again in ${seconds < 120 ? `${seconds} s` : `${Math.ceil(seconds / 60)} min`}`;
}
