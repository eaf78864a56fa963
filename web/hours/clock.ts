import { useCallback, useEffect, useState } from "react";
import type { Workable } from "./hours.ts";
import { type Clock, clocks } from "./kept.ts";

const HOUR_MS = 3_600_000;

/** The clock of a restoration on this device; it runs on while the page is closed. `read`: it is known whether one runs. */
export function useClock(restoration: string) {
  const [clock, setClock] = useState<Clock | null>(null);
  const [read, setRead] = useState(false);
  const [keeps, setKeeps] = useState(true);

  useEffect(() => {
    let left = false;
    clocks
      .one(restoration)
      .then((kept) => {
        if (left) return;
        setClock(kept ?? null);
        setRead(true);
      })
      .catch(() => {
        if (left) return;
        setKeeps(false);
        setRead(true);
      });
    return () => {
      left = true;
    };
  }, [restoration]);

  const set = useCallback(
    async (next: Clock | null) => {
      setClock(next);
      try {
        if (next === null) await clocks.drop(restoration);
        else await clocks.put(next);
      } catch {
        setKeeps(false);
      }
    },
    [restoration],
  );
  return {
    clock,
    read,
    /** False where this browser keeps nothing: a clock is then lost with the page. */
    keeps,
    start: (operation: Workable) => set({ restoration, operation, startedAt: Date.now(), stoppedAt: null }),
    stop: () => clock && set({ ...clock, stoppedAt: Date.now() }),
    goOn: () => clock && set({ ...clock, stoppedAt: null }),
    clear: () => set(null),
  };
}

/** Milliseconds on a running clock, told anew each second. */
export function useElapsed({ startedAt, stoppedAt }: Clock): number {
  const [now, setNow] = useState(() => Date.now());
  useEffect(() => {
    if (stoppedAt !== null) return;
    setNow(Date.now());
    const tick = setInterval(() => setNow(Date.now()), 1_000);
    return () => clearInterval(tick);
  }, [stoppedAt]);
  return Math.max(0, (stoppedAt ?? now) - startedAt);
}

/** "1:04:09" */
export function clockText(elapsed: number): string {
  const seconds = Math.floor(elapsed / 1_000);
  const two = (figure: number) => String(figure).padStart(2, "0");
  return `${Math.floor(seconds / 3_600)}:${two(Math.floor(seconds / 60) % 60)}:${two(seconds % 60)}`;
}

/** Hours to a hundredth, and no less than one of them. */
export const hoursOf = (elapsed: number): number => Math.max(0.01, Math.round((elapsed / HOUR_MS) * 100) / 100);
