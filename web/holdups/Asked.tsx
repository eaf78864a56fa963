import { oddsTimes } from "../shared/format.ts";
import { useAddressValue } from "../shared/paging.tsx";

export const LISTS = ["ladder", "order", "chase", "free"] as const;

const CHANCES = [0.5, 0.75, 0.8, 0.9, 0.95];

interface AskedFieldsProps {
  figuresFor: string;
  confidence: number | null;
}

/** The day the figures are for and how sure order-by dates are to be; both live in the address. */
export function AskedFields({ figuresFor, confidence }: AskedFieldsProps) {
  const [on, setOn] = useAddressValue("on", LISTS);
  const [chance, setChance] = useAddressValue("confidence", LISTS);
  const choices =
    confidence !== null && !CHANCES.includes(confidence) ? [...CHANCES, confidence].sort((a, b) => a - b) : CHANCES;
  return (
    <div className="asked no-print">
      <div className="field">
        <label htmlFor="asked-on">Figures for</label>
        {/* Uncontrolled, so that a half-typed date is left alone; a new day of the figures starts it afresh. */}
        <input
          key={figuresFor}
          id="asked-on"
          type="date"
          defaultValue={figuresFor}
          onChange={(event) => {
            if (/^[12]\d{3}-\d\d-\d\d$/.test(event.target.value)) setOn(event.target.value);
          }}
        />
      </div>
      <div className="field">
        <label htmlFor="asked-confidence">Order-by dates hold</label>
        <select
          id="asked-confidence"
          value={confidence === null ? "" : String(confidence)}
          onChange={(event) => setChance(event.target.value || null)}
        >
          <option value="">as promised</option>
          {choices.map((known) => (
            <option key={known} value={String(known)}>
              {oddsTimes(known)}
            </option>
          ))}
        </select>
      </div>
      {(on !== null || chance !== null) && (
        <button
          type="button"
          onClick={() => {
            setOn(null);
            setChance(null);
          }}
        >
          As the restoration says
        </button>
      )}
    </div>
  );
}
