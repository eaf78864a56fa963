import { useEffect, useId, useRef, useState } from "react";
import { useNavigate } from "react-router";
import { useClient } from "urql";
import { today } from "../shared/format.ts";
import { useMay } from "../shared/useMay.ts";
import {
  calledInList,
  FindQuery,
  type FoundGroup,
  type FoundRow,
  GROUP_NAMES,
  pieces,
  whatOfIt,
  whereItIs,
} from "./found.ts";
import "./findEverything.css";

const WAIT_MS = 120;

interface FindProps {
  /** The restoration in view; none where the club's sheets are. */
  restoration?: string | undefined;
  /** The day that its figures are for. */
  day?: string | undefined;
  /** Where it opens as a panel: called when it is left. */
  onLeave?: (() => void) | undefined;
}

type Answer = { text: string; groups: readonly FoundGroup[] } | { text: string; failed: true };

/** Finds a part, a number, a maker, a job, or what the club has, from any sheet; "/" leads to it. */
export function Find({ restoration, day = today(), onLeave }: FindProps) {
  const id = useId();
  const client = useClient();
  const navigate = useNavigate();
  const may = useMay();
  const field = useRef<HTMLInputElement>(null);
  const turn = useRef(0);
  const [text, setText] = useState("");
  const [open, setOpen] = useState(false);
  const [answer, setAnswer] = useState<Answer>();
  const [at, setAt] = useState(-1);

  const words = text.trim();
  const groups = answer && "groups" in answer ? answer.groups : [];
  const rows = groups.flatMap((group) => group.rows);
  const shown = open && words !== "";
  const waits = answer?.text !== words;

  useEffect(() => {
    const toField = (event: KeyboardEvent) => {
      const on = event.target as HTMLElement;
      if (event.key !== "/" || event.ctrlKey || event.metaKey || event.altKey) return;
      if (on.isContentEditable || /^(INPUT|TEXTAREA|SELECT)$/.test(on.tagName) || on.closest("dialog")) return;
      if (field.current === null || field.current.offsetParent === null) return;
      event.preventDefault();
      field.current.focus();
    };
    document.addEventListener("keydown", toField);
    return () => document.removeEventListener("keydown", toField);
  }, []);

  useEffect(() => {
    turn.current += 1;
    const mine = turn.current;
    if (words === "") {
      setAnswer(undefined);
      return;
    }
    const timer = setTimeout(async () => {
      const variables = { text: words, ...(restoration !== undefined && { restoration }) };
      const { data } = await client.query(FindQuery, variables, { requestPolicy: "network-only" }).toPromise();
      // An answer to what was typed before says nothing of what stands there now.
      if (mine !== turn.current) return;
      setAnswer(data ? { text: words, groups: data.find } : { text: words, failed: true });
      setAt(-1);
    }, WAIT_MS);
    return () => clearTimeout(timer);
  }, [words, restoration, client]);

  // biome-ignore lint/correctness/useExhaustiveDependencies: the row is chosen by its place
  useEffect(() => {
    if (at >= 0) document.getElementById(`${id}-${at}`)?.scrollIntoView({ block: "nearest" });
  }, [at]);

  const leave = () => {
    setOpen(false);
    setText("");
    onLeave?.();
  };
  const addressFor = (row: FoundRow) => whereItIs(row, restoration ?? "", !may("Restoration.parts"));
  const go = (row: FoundRow) => {
    leave();
    field.current?.blur();
    navigate(addressFor(row));
  };

  const status = !shown
    ? ""
    : waits
      ? "Looking."
      : answer && "failed" in answer
        ? "It cannot be looked up now; the server did not answer."
        : rows.length === 0
          ? "Nothing is called that."
          : "";

  return (
    // biome-ignore lint/a11y/useSemanticElements: a search element is not known to every browser in use
    <div className="find-all" role="search">
      <label htmlFor={`${id}-field`}>Find a part, number, maker, job</label>
      <input
        ref={field}
        id={`${id}-field`}
        type="text"
        role="combobox"
        placeholder={restoration === undefined ? "in the club" : "in this restoration and the club"}
        autoComplete="off"
        spellCheck={false}
        maxLength={200}
        aria-expanded={shown && rows.length > 0}
        aria-controls={`${id}-found`}
        aria-autocomplete="list"
        aria-activedescendant={shown && rows[at] ? `${id}-${at}` : undefined}
        value={text}
        onFocus={() => setOpen(true)}
        onBlur={() => setOpen(false)}
        onChange={(event) => {
          setText(event.target.value);
          setOpen(true);
          setAt(-1);
        }}
        onKeyDown={(event) => {
          if ((event.key === "ArrowDown" || event.key === "ArrowUp") && rows.length > 0) {
            event.preventDefault();
            const down = event.key === "ArrowDown";
            if (!open) setOpen(true);
            else setAt(at < 0 ? (down ? 0 : rows.length - 1) : (at + (down ? 1 : rows.length - 1)) % rows.length);
          } else if (event.key === "Enter" && shown && !waits) {
            const row = rows[Math.max(at, 0)];
            if (row === undefined) return;
            event.preventDefault();
            go(row);
          } else if (event.key === "Escape") {
            event.preventDefault();
            if (shown) leave();
            else field.current?.blur();
          }
        }}
      />
      <div className="find-all-panel" hidden={!shown}>
        <div id={`${id}-found`} role="listbox" aria-label="Found" hidden={rows.length === 0}>
          {groups.map((group, place) => {
            const before = groups.slice(0, place).reduce((sum, one) => sum + one.rows.length, 0);
            return (
              // biome-ignore lint/a11y/useSemanticElements: a listbox holds groups of options, not fieldsets
              <div key={group.group} role="group" aria-label={GROUP_NAMES[group.group]}>
                <p className="find-all-group" aria-hidden="true">
                  {GROUP_NAMES[group.group]}
                  {group.count > group.rows.length && <span>{` ${group.rows.length} of ${group.count}`}</span>}
                </p>
                {group.rows.map((row, i) => (
                  // biome-ignore lint/a11y/useFocusableInteractive: the focus stays in the field, which names the option in view
                  // biome-ignore lint/a11y/useKeyWithClickEvents: the field takes the keys
                  <div
                    key={row.kind + row.id}
                    id={`${id}-${before + i}`}
                    role="option"
                    aria-selected={before + i === at}
                    onPointerDown={(event) => event.preventDefault()}
                    onClick={() => go(row)}
                  >
                    <span>
                      <Marked text={calledInList(row)} fits={row.fits} />
                      {row.beside && (
                        <span className="soft">
                          {" "}
                          <Marked text={row.beside} fits={row.fits} />
                        </span>
                      )}
                    </span>
                    <span className="soft"> {whatOfIt(row, day)}</span>
                  </div>
                ))}
              </div>
            );
          })}
        </div>
        <p role="status">{status}</p>
        {rows.length > 0 && (
          <p className="find-all-keys">
            ↑ ↓ to choose, Enter to open, Esc to leave. Misspelt words and numbers without their spaces are found too.
          </p>
        )}
      </div>
    </div>
  );
}

const Marked = ({ text, fits }: { text: string; fits: readonly string[] }) =>
  pieces(text, fits).map((piece, place) => (piece.fits ? <mark key={place}>{piece.text}</mark> : piece.text));
