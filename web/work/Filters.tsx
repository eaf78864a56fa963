import { useCallback, useEffect, useState } from "react";
import { codeInWords } from "../shared/Code.tsx";
import { useAddressValue } from "../shared/paging.tsx";
import { useAddress } from "../shared/useAddress.ts";
import { noTrade } from "../shared/words.ts";
import type { Scheduled } from "./schedule.ts";

export const STATES = {
  "to-do": "still to do",
  free: "free to start",
  critical: "on the critical path",
  "not-started": "not started",
  "under-way": "under way",
  done: "done",
  all: "all",
} as const;

export type State = keyof typeof STATES;

/** What narrows the work, kept in the address. */
export interface WorkFilter {
  state: State;
  trade: string | null;
  search: string;
  holds: (row: Scheduled, free: ReadonlySet<string>) => boolean;
  setState: (state: string | null) => void;
  setTrade: (trade: string | null) => void;
  setSearch: (words: string | null) => void;
  /** Shows all operations. */
  clear: () => void;
}

function stateHolds(state: State, { operation, critical }: Scheduled, free: ReadonlySet<string>): boolean {
  switch (state) {
    case "to-do":
      return operation.state !== "DONE";
    case "free":
      return free.has(operation.id);
    case "critical":
      return critical && operation.state !== "DONE";
    case "not-started":
      return operation.state === "NOT_STARTED";
    case "under-way":
      return operation.state === "UNDER_WAY";
    case "done":
      return operation.state === "DONE";
    case "all":
      return true;
  }
}

const PAGES = ["rows"];

/** The filter in the address. */
export function useWorkFilter(): WorkFilter {
  const [kept, setState] = useAddressValue("state", PAGES);
  const [trade, setTrade] = useAddressValue("trade", PAGES);
  const [words, setSearch] = useAddressValue("search", PAGES);
  const [, change] = useAddress();
  const state: State = kept && kept in STATES ? (kept as State) : "to-do";
  const search = words ?? "";
  const holds = useCallback(
    (row: Scheduled, free: ReadonlySet<string>) => {
      const { code, title, group } = row.operation;
      if (trade !== null && row.operation.trade !== trade) return false;
      if (!stateHolds(state, row, free)) return false;
      const text = `${codeInWords("operation", code)} ${title} ${group}`.toLowerCase();
      return search
        .toLowerCase()
        .split(/\s+/)
        .every((word) => text.includes(word));
    },
    [state, trade, search],
  );
  const clear = () =>
    change((next) => {
      for (const name of ["trade", "search", ...PAGES]) next.delete(name);
      next.set("state", "all");
    });
  return {
    state,
    trade,
    search,
    holds,
    setState: (value) => setState(value === "to-do" ? null : value),
    setTrade,
    setSearch,
    clear,
  };
}

/** Fields that narrow the work. */
export function Filters({ filter, trades }: { filter: WorkFilter; trades: readonly string[] }) {
  const [typed, setTyped] = useState(filter.search);
  useEffect(() => setTyped(filter.search), [filter.search]);
  return (
    <>
      <div className="field">
        <label htmlFor="work-search">Search</label>
        <input
          id="work-search"
          type="search"
          placeholder="code, title or group"
          value={typed}
          onChange={(event) => {
            setTyped(event.target.value);
            filter.setSearch(event.target.value || null);
          }}
        />
      </div>
      <div className="field">
        <label htmlFor="work-state">State</label>
        <select id="work-state" value={filter.state} onChange={(event) => filter.setState(event.target.value)}>
          {Object.entries(STATES).map(([value, label]) => (
            <option key={value} value={value}>
              {label}
            </option>
          ))}
        </select>
      </div>
      <div className="field">
        <label htmlFor="work-trade">Trade</label>
        <select
          id="work-trade"
          value={filter.trade ?? ""}
          onChange={(event) => filter.setTrade(event.target.value || null)}
        >
          <option value="">all trades</option>
          {trades.map((trade) => (
            <option key={trade} value={trade}>
              {noTrade(trade)}
            </option>
          ))}
        </select>
      </div>
    </>
  );
}
