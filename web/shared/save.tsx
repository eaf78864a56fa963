import type { ResultOf, TadaDocumentNode } from "gql.tada";
import { createContext, type ReactNode, useCallback, useContext, useEffect, useMemo, useRef, useState } from "react";
import { type CombinedError, useClient } from "urql";
import { graphql } from "../client.ts";
import { lookAtHealth } from "./CannotSave.tsx";
import { type Conflict, conflictsOf, conflictsOfOne, type FieldsOfForm } from "./conflict.ts";
import { isAnswer, patientFetch } from "./connection.ts";
import { ChangeEffectQuery, didWords } from "./effect.ts";
import { wordsOf } from "./Page.tsx";
import { type StaleChoice, StaleDialog } from "./StaleDialog.tsx";

/** Spread into every mutation that answers a SaveResult: `savePart(input: $input) { __typename ...SaveParts }`. */
export const SaveParts = graphql(`
  fragment SaveParts on SaveResult @_unmask {
    __typename
    ... on Saved { id revision change { id summary final } }
    ... on ClubSaved { id revision clubChange { id summary } }
    ... on InvalidInput { message faults { code file field message complaint row rows value } }
    ... on StaleRow { id revision row message differences { field theirs yours } }
    ... on Refused { code message rows }
  }
`);

type SaveResult = ResultOf<typeof SaveParts>;

export interface FieldFault {
  code: string;
  field: string | null;
  message: string;
  /** What stands after the field's label in its place; null where the message is a sentence of its own. */
  complaint?: string | null;
  /** Of what was typed in a table: the file whose rows it becomes. */
  file?: string | null;
  /** Where text was read line by line: the line, and what stands there. */
  row?: string | null;
  value?: string | null;
  /** Rows that belong to the fault: the codes along a circle. */
  rows?: readonly string[];
}

/** How a save ended. Only "saved" changed anything; what was typed is kept in every other case. */
export type SaveOutcome =
  | { kind: "saved"; id: string; revision: number }
  /** The row had been changed elsewhere, and theirs was kept in every field. */
  | { kind: "theirs" }
  /** The row had been changed elsewhere, and the choice was put off. */
  | { kind: "putOff" }
  | { kind: "faults"; faults: readonly FieldFault[]; message: string }
  | { kind: "refused"; message: string; code: string; rows: readonly string[] }
  /** The server answered that the request as a whole cannot be: sent again as it is, it fails again. */
  | { kind: "failed"; message: string; code: string; reason: string }
  | { kind: "unreachable"; message: string };

/** The code of a refusal that a sign-in mends. */
export const NOT_SIGNED_IN = "NOT_SIGNED_IN";

type Variables = Record<string, unknown>;
type SaveDocument<Result, Vars> = TadaDocumentNode<Result, Vars>;

interface Notice {
  text: string;
  /** Half a sentence after it: what a choice has done. */
  did?: string;
  /** The change that Undo takes back. */
  change?: string;
  wrong?: boolean;
}

interface Stale {
  message: string;
  row: string | null;
  removes: boolean;
  conflicts: readonly Conflict[];
  choose: (choice: StaleChoice) => void;
}

interface SaveOptions {
  /** Sent by itself and not by a tap: no notice tells that it did not reach the server, and it is given up in time. */
  unasked?: boolean;
  /** It chooses something: the notice tells what that did to the plan, and that of its undo the way back. */
  weighed?: boolean;
  /** It takes rows away, so of one that was changed elsewhere there are no two values to choose from. */
  removes?: boolean;
}

interface Saving {
  /** Does what a form saves: it tells by itself how that ended, and what its fields are called. */
  forForm: <Result>(fields: FieldsOfForm, act: () => Promise<Result>) => Promise<Result>;
  send: (
    document: SaveDocument<unknown, Variables>,
    variables: Variables,
    options?: SaveOptions,
  ) => Promise<SaveOutcome>;
  /** Takes one change back and shows the notice; true when it is. */
  undo: (change: string) => Promise<boolean>;
  undoNewest: () => Promise<void>;
  /** Shows the notice of a change that came another way than by a mutation. */
  tell: (change: { id: string; summary: string; final?: boolean }) => void;
}

const SavingContext = createContext<Saving | null>(null);

const Undo = graphql(
  `
  mutation Undo($change: ID!) {
    undo(change: $change) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

type Answer = Exclude<SaveResult, { __typename: "ClubSaved" }>;

/** What a mutation answered. A change of the club reads like any other: its undo goes the same way. */
const resultIn = (data: unknown): Answer | null => {
  const [first] = Object.values((data ?? {}) as Record<string, SaveResult>);
  if (first?.__typename !== "ClubSaved") return first ?? null;
  const { id, revision, clubChange: change } = first;
  return { __typename: "Saved", id, revision, change: { ...change, final: false } };
};

/** How a mutation ended that brought an error and no result. */
function failureOf(error: CombinedError): Extract<SaveOutcome, { kind: "failed" | "unreachable" }> {
  const message = `Not saved. ${wordsOf(error)} What you typed is still here.`;
  const response = error.response as Response | undefined;
  const refused = error.graphQLErrors.length > 0 || (response !== undefined && response.status >= 400);
  if (response === undefined || !refused || !isAnswer(response)) return { kind: "unreachable", message };
  const code = error.graphQLErrors[0]?.extensions["code"] ?? (response.status === 401 ? NOT_SIGNED_IN : "");
  const reason =
    error.graphQLErrors.length > 0 ? wordsOf(error) : `The server did not take it (its answer was ${response.status}).`;
  return { kind: "failed", message, code: String(code), reason };
}

/**
 * Variables for saving again with the newer revision, without the fields in which theirs is kept; of several rows without
 * the row. Null where nothing of ours is left.
 */
function withNewerRevision(
  variables: Variables,
  { id, revision }: { id: string; revision: number },
  theirs: ReadonlySet<string>,
): Variables | null {
  if (Array.isArray(variables.rows)) {
    const read = variables.rows as { id: string }[];
    const rows =
      theirs.size > 0
        ? read.filter((row) => row.id !== id)
        : read.map((row) => (row.id === id ? { ...row, revision } : row));
    return rows.length > 0 ? { ...variables, rows } : null;
  }
  const input = variables.input as Variables | undefined;
  if (!input) return theirs.size > 0 ? null : { ...variables, revision };
  const kept = Object.fromEntries(
    Object.entries(input).filter(([field]) => !theirs.has(field) && !theirs.has(field.replace(/Minor$/, ""))),
  );
  const left = Object.keys(kept).some((field) => field !== "id" && field !== "revision" && field !== "restoration");
  return left ? { ...variables, input: { ...kept, revision } } : null;
}

/** Holds the notice of what was saved, the changes that undo can take back, and the choice between two changes of one row. */
export function SaveProvider({ children }: { children: ReactNode }) {
  const client = useClient();
  const [notice, setNotice] = useState<Notice | null>(null);
  const [stale, setStale] = useState<Stale | null>(null);
  const changes = useRef<string[]>([]);
  /** Of them, those that chose something. */
  const weighed = useRef(new Set<string>());
  const form = useRef<FieldsOfForm | undefined>(undefined);

  const tell: Saving["tell"] = useCallback(({ id, summary, final = false }) => {
    if (!final) changes.current.push(id);
    setNotice(final ? { text: summary } : { text: summary, change: id });
  }, []);

  /** Says in the notice of a change what it did, once that is worked out; where it cannot be, the notice stays as it is. */
  const tellEffect = useCallback(
    async (change: string, notice: Notice) => {
      const { data } = await client.query(ChangeEffectQuery, { change }).toPromise();
      const did = data && didWords(data);
      if (did) setNotice((now) => (now === notice ? { ...now, did } : now));
    },
    [client],
  );

  const send = useCallback(
    async (
      document: SaveDocument<unknown, Variables>,
      variables: Variables,
      { unasked = false, weighed: isWeighed = false, removes = false }: SaveOptions = {},
    ): Promise<SaveOutcome> => {
      // What is sent by itself meanwhile is no form's.
      const fields = unasked ? undefined : form.current;
      const { data, error } = await client
        .mutation(document, variables, unasked ? { fetch: patientFetch } : {})
        .toPromise();
      if (error) {
        void lookAtHealth();
        const failure = failureOf(error);
        if (!unasked) setNotice(fields ? null : { text: failure.message, wrong: true });
        return failure;
      }
      const result = resultIn(data);
      switch (result?.__typename) {
        case "Saved":
          if (isWeighed) {
            const notice = { text: result.change.summary, change: result.change.id };
            changes.current.push(notice.change);
            weighed.current.add(notice.change);
            setNotice(notice);
            void tellEffect(notice.change, notice);
          } else tell(result.change);
          return { kind: "saved", id: result.id, revision: result.revision };
        case "InvalidInput":
          setNotice(null);
          return { kind: "faults", faults: result.faults, message: result.message };
        case "Refused":
          setNotice(fields ? null : { text: `Not done. ${result.message}`, wrong: true });
          return { kind: "refused", message: result.message, code: result.code, rows: result.rows };
        case "StaleRow": {
          const { message, row } = result;
          const { conflicts, untouched } = (row === null ? conflictsOf : conflictsOfOne)(result.differences, fields);
          const choice = await new Promise<StaleChoice>((choose) =>
            setStale({ message, row, removes, conflicts, choose }),
          );
          setStale(null);
          if (choice === "putOff") return { kind: "putOff" };
          const next = withNewerRevision(variables, result, new Set([...choice, ...untouched]));
          if (next) return send(document, next, { unasked, weighed: isWeighed, removes });
          setNotice({ text: "Theirs is kept; nothing of yours was saved." });
          return { kind: "theirs" };
        }
        default:
          return { kind: "unreachable", message: "Not saved. The server answered with nothing that can be read." };
      }
    },
    [client, tell, tellEffect],
  );

  const undo = useCallback(
    async (change: string) => {
      const { data, error } = await client.mutation(Undo, { change }).toPromise();
      const result = resultIn(data);
      if (!error && result?.__typename === "Saved") {
        changes.current = changes.current.filter((known) => known !== change);
        const notice = { text: result.change.summary };
        setNotice(notice);
        if (weighed.current.delete(change)) void tellEffect(result.change.id, notice);
        return true;
      }
      const reason = error ? wordsOf(error) : result && "message" in result ? result.message : "";
      setNotice({ text: `Not undone. ${reason}`, change, wrong: true });
      return false;
    },
    [client, tellEffect],
  );

  const undoNewest = useCallback(async () => {
    const newest = changes.current.at(-1);
    if (newest) await undo(newest);
    else
      setNotice({
        text: "There is nothing of this visit to undo. Earlier changes are on the Restoration sheet.",
      });
  }, [undo]);

  useEffect(() => {
    const listen = (event: KeyboardEvent) => {
      if (event.key.toLowerCase() !== "z" || !(event.ctrlKey || event.metaKey) || event.shiftKey || event.altKey)
        return;
      const at = event.target;
      if (at instanceof HTMLElement && (at.isContentEditable || /^(INPUT|TEXTAREA|SELECT)$/.test(at.tagName))) return;
      if (document.querySelector("dialog[open]")) return;
      event.preventDefault();
      void undoNewest();
    };
    window.addEventListener("keydown", listen);
    return () => window.removeEventListener("keydown", listen);
  }, [undoNewest]);

  const forForm = useCallback(async <Result,>(fields: FieldsOfForm, act: () => Promise<Result>): Promise<Result> => {
    form.current = fields;
    try {
      return await act();
    } finally {
      if (form.current === fields) form.current = undefined;
    }
  }, []);

  const saving = useMemo(() => ({ forForm, send, undo, undoNewest, tell }), [forForm, send, undo, undoNewest, tell]);
  return (
    <SavingContext value={saving}>
      {children}
      {stale && <StaleDialog {...stale} onChoose={stale.choose} />}
      <div role="status" aria-live="polite" aria-atomic="true">
        {notice && (
          <div className="notice">
            <div>
              <p>
                {notice.text}
                {notice.did && `: ${notice.did}`}
              </p>
              {notice.change && (
                <button type="button" aria-keyshortcuts="Control+Z" onClick={() => void undo(notice.change as string)}>
                  Undo
                </button>
              )}
              <button type="button" onClick={() => setNotice(null)}>
                Close<span className="unseen"> this notice</span>
              </button>
            </div>
          </div>
        )}
      </div>
    </SavingContext>
  );
}

/** How a form saves what stands in it. */
export function useSavingForm(): Saving["forForm"] {
  const context = useContext(SavingContext);
  if (!context) throw new Error("A Form stands outside of a SaveProvider.");
  return context.forForm;
}

/**
 * Saves through a mutation that answers a SaveResult. `save` shows the notice with Undo, settles a stale row with
 * the user, and tells how it ended; it never throws.
 */
export function useSave() {
  const context = useContext(SavingContext);
  if (!context) throw new Error("useSave stands outside of a SaveProvider.");
  const { send, undo, undoNewest, tell } = context;
  const [saving, setSaving] = useState(false);
  const save = useCallback(
    async <Result, Vars extends Variables>(
      document: SaveDocument<Result, Vars>,
      variables: Vars,
      options?: SaveOptions,
    ): Promise<SaveOutcome> => {
      setSaving(true);
      try {
        return await send(document as unknown as SaveDocument<unknown, Variables>, variables, options);
      } finally {
        setSaving(false);
      }
    },
    [send],
  );
  return { save, saving, undo, undoNewest, tell };
}
