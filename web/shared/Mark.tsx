import { isOwnWork, type SUPPLY_STATE, supplyWords } from "./words.ts";

type Colour = "red-lead" | "brass" | "verdigris" | "ink";
type Shape = "full" | "empty" | "half" | "hatched" | "broken" | "cross";

interface MarkProps {
  word: string;
  colour: Colour;
  /** Tells marks apart without colour. */
  shape: Shape;
}

/** A mark: a word with a pattern and a colour, so that none of the three is needed to read it. */
export function Mark({ word, colour, shape }: MarkProps) {
  return (
    <span className={`mark ${colour}`}>
      <svg viewBox="0 0 14 14" aria-hidden="true" fill="none" stroke="currentColor" strokeWidth="1.75">
        {shape === "full" && <circle cx="7" cy="7" r="5.5" fill="currentColor" />}
        {shape === "empty" && <circle cx="7" cy="7" r="5.5" />}
        {shape === "half" && (
          <>
            <circle cx="7" cy="7" r="5.5" />
            <path d="M7 1.5a5.5 5.5 0 0 1 0 11z" fill="currentColor" stroke="none" />
          </>
        )}
        {shape === "hatched" && (
          <>
            <circle cx="7" cy="7" r="5.5" />
            <path d="M3 9 9 3M5 11l6-6" strokeWidth="1.25" />
          </>
        )}
        {shape === "broken" && <circle cx="7" cy="7" r="5.5" strokeDasharray="2.6 1.7" />}
        {shape === "cross" && <path d="M2 2l10 10M12 2 2 12" />}
      </svg>
      {word}
    </span>
  );
}

const SUPPLY_MARKS: Record<keyof typeof SUPPLY_STATE, { colour: Colour; shape: Shape }> = {
  IN_HAND: { colour: "verdigris", shape: "full" },
  NO_SOURCE: { colour: "red-lead", shape: "broken" },
  HUNTED: { colour: "brass", shape: "broken" },
  UNDECIDED: { colour: "brass", shape: "empty" },
  TO_ORDER: { colour: "brass", shape: "half" },
  ORDERED: { colour: "ink", shape: "hatched" },
  LATE: { colour: "red-lead", shape: "cross" },
  ARRIVED: { colour: "brass", shape: "half" },
};

interface Outlook {
  state: keyof typeof SUPPLY_STATE;
  /** The quote on which the plan counts. */
  quote: Parameters<typeof isOwnWork>[0] | null;
}

/** Where a part stands. */
export function SupplyMark({ of: { state, quote } }: { of: Outlook }) {
  return <Mark word={supplyWords(state, Boolean(quote && isOwnWork(quote)))} {...SUPPLY_MARKS[state]} />;
}

const WORK_MARKS = {
  NOT_STARTED: { word: "not started", colour: "ink", shape: "empty" },
  UNDER_WAY: { word: "under way", colour: "ink", shape: "half" },
  DONE: { word: "done", colour: "verdigris", shape: "full" },
} as const;

/** How far an operation is. */
export function WorkMark({ state }: { state: keyof typeof WORK_MARKS }) {
  return <Mark {...WORK_MARKS[state]} />;
}

/** Holds up completion. */
export function HoldsUpMark() {
  return <Mark word="holds up" colour="red-lead" shape="cross" />;
}
