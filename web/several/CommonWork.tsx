import { useId, useState } from "react";
import { useClient, useQuery } from "urql";
import { wordsOf } from "../shared/Page.tsx";
import { type Cells, CommonWorkQuery, cellsOf, LinesQuery } from "./commonWork.ts";

/** Work that many machines have in common, put into the tables as lines to be changed before they are added. */
export function CommonWork({ onTake }: { onTake: (cells: { parts: Cells[]; work: Cells[] }) => void }) {
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
    if (lines) onTake(cellsOf(lines));
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
