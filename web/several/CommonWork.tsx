import { useId, useState } from "react";
import { useClient, useQuery } from "urql";
import { counted } from "../shared/format.ts";
import { wordsOf } from "../shared/Page.tsx";
import { type Cells, CommonWorkQuery, cellsOf, LinesQuery } from "./commonWork.ts";
import { type Line, type Lines, NAMES } from "./tables.ts";

/** Common work that was put in, and its lines as they were then. */
export interface Taken {
  name: string;
  lines: readonly Line[];
}

interface TakenWorkProps {
  taken: Taken;
  /** All lines as they stand. */
  lines: Lines;
  onTakeOut: (keys: ReadonlySet<number>) => void;
}

/** Takes out again what was put in; lines that were changed since stay. Nothing where none is left as it was. */
export function TakenWork({ taken: { name, lines: put }, lines, onTakeOut }: TakenWorkProps) {
  const now = new Map(NAMES.flatMap((table) => lines[table].map((line) => [line.key, line.cells] as const)));
  const same = put.filter(({ key, cells }) => now.get(key) === cells);
  const changed = put.filter(({ key }) => now.has(key)).length - same.length;
  if (same.length === 0) return null;
  return (
    <p className="row soft">
      {name}: {counted(put.length, "line")} put in.
      <button type="button" onClick={() => onTakeOut(new Set(same.map(({ key }) => key)))}>
        {put.length === same.length ? "Take them all out again" : `Take ${counted(same.length, "line")} out again`}
        <span className="unseen">: {name}</span>
      </button>
      {changed > 0 && `${counted(changed, "line")} that you changed ${changed === 1 ? "stays" : "stay"}.`}
    </p>
  );
}

/** Work that many machines have in common, put into the tables as lines to be changed before they are added. */
export function CommonWork({ onTake }: { onTake: (name: string, cells: { parts: Cells[]; work: Cells[] }) => void }) {
  const id = useId();
  const client = useClient();
  const [{ data }] = useQuery({ query: CommonWorkQuery });
  const [name, choose] = useState("");
  const [typed, type] = useState("");
  const [problem, setProblem] = useState<string | null>(null);
  const chosen = data?.commonWork.find((one) => one.name === name);
  const counts = chosen?.counts ?? null;
  const take = async () => {
    setProblem(null);
    const count = counts === null ? 1 : Number(typed);
    if (counts !== null && (!Number.isInteger(count) || count < counts.least || count > counts.most)) {
      setProblem(`How many ${counts.many} must be ${counts.least} to ${counts.most}.`);
      return;
    }
    const { data: found, error } = await client.query(LinesQuery, { name, count }).toPromise();
    const lines = found?.commonWork[0]?.lines;
    if (lines) onTake(name, cellsOf(lines));
    else if (error) setProblem(wordsOf(error));
  };
  if (!data) return null;
  return (
    <div className="common-work">
      <div className="fields">
        <div className="field">
          <label htmlFor={`${id}-work`}>Begin with common work</label>
          <select
            id={`${id}-work`}
            value={name}
            onChange={({ target: { value } }) => {
              choose(value);
              setProblem(null);
              type(String(data.commonWork.find((one) => one.name === value)?.counts?.usual ?? ""));
            }}
          >
            <option value="">none</option>
            {data.commonWork.map((one) => (
              <option key={one.name} value={one.name}>
                {one.name}
              </option>
            ))}
          </select>
        </div>
        {counts && (
          <div className="field">
            <label htmlFor={`${id}-count`}>How many {counts.many}</label>
            <input
              id={`${id}-count`}
              inputMode="numeric"
              value={typed}
              aria-invalid={problem !== null || undefined}
              aria-describedby={problem === null ? undefined : `${id}-problem`}
              onChange={({ target: { value } }) => type(value.trim())}
            />
          </div>
        )}
        {chosen && (
          <button type="button" onClick={() => void take()}>
            Put its lines in
          </button>
        )}
      </div>
      {problem && (
        <p className="form-problem" id={`${id}-problem`} role="alert">
          {problem}
        </p>
      )}
      {chosen && (
        <p className="prose soft">
          {chosen.description} Hours, order and parts are common practice: change what is otherwise here before you add
          them.
        </p>
      )}
    </div>
  );
}
