import { type ReactNode, type RefObject, useEffect, useId, useRef, useState } from "react";
import { Link, useLocation } from "react-router";
import { Find } from "../find/Find.tsx";
import { Opened } from "./Opened.tsx";
import { useNarrow } from "./useNarrow.ts";
import "./head.css";

/** A sheet: where it is and what it is called; how many things stand on it, where that is known. */
export interface SheetName {
  address: string;
  name: string;
  count?: number | undefined;
}

/** A door: the question that one comes with, and the sheets inside, of which it opens the first. */
export interface Door {
  name: string;
  question: string;
  sheets: readonly SheetName[];
}

/** A ruled box of the head: what it is, and what stands in it. */
export interface HeadBox {
  label: string;
  value: string;
  /** The date that its words are of. */
  dateTime?: string;
  /** Where the box leads. */
  address?: string | undefined;
}

interface JobHeadProps {
  /** The first box: what the sheet is of. */
  of: HeadBox;
  boxes?: readonly (HeadBox | null | undefined | false)[];
  /** Beside the name on a phone, where the boxes have no room: "figures for Mon 23 Nov 2026". */
  also?: ReactNode;
  /** What is found beside the club: everything of a restoration, as its figures stand for a day. */
  find?: { restoration?: string; day?: string } | undefined;
  who?: ReactNode;
  /** What the doors are to a screen reader. */
  doorsOf?: string;
  doors?: readonly Door[];
  /** Ways out of this room, at the end of the line inside a door. */
  ways?: readonly SheetName[];
}

/** Of addresses the longest that the path is or stands under; undefined where it is under none. */
export const nearestAbove = (pathname: string, sheets: readonly { address: string }[]): string | undefined =>
  sheets
    .map(({ address }) => address)
    .filter((address) => pathname === address || pathname.startsWith(`${address}/`))
    .sort((one, other) => other.length - one.length)[0];

/** The head of every sheet: ruled boxes, the doors, one line inside the door that is open. On a phone the doors stand at the bottom. */
export function JobHead({ of, boxes = [], also, find, who, doorsOf = "Sheets", doors = [], ways = [] }: JobHeadProps) {
  const narrow = useNarrow();
  const { pathname } = useLocation();
  const [finding, setFinding] = useState(false);
  const at = nearestAbove(
    pathname,
    doors.flatMap(({ sheets }) => sheets),
  );
  const open = doors.find(({ sheets }) => sheets.some(({ address }) => address === at));
  const sheet = open?.sheets.find(({ address }) => address === at)?.name.toLowerCase();
  const rows = doors.filter(({ sheets }) => sheets.length > 0);
  const bar = rows.length > 1 && (
    <nav className="doors no-print" aria-label={doorsOf}>
      <ul>
        {rows.map((door) => (
          <li key={door.name}>
            <Link to={door.sheets[0]!.address} aria-current={door === open || undefined}>
              <b>{door.name}</b>
              {!narrow && <i> {door.question}</i>}
            </Link>
          </li>
        ))}
      </ul>
    </nav>
  );
  const lines = (
    <ul>
      {open?.sheets.map(({ address, name, count }) => (
        <li key={address}>
          <Link to={address} aria-current={address === at ? "page" : undefined}>
            {name}
            {count !== undefined && <span className="count"> {count}</span>}
          </Link>
        </li>
      ))}
      {ways.map(({ address, name }) => (
        <li key={address} className="way">
          <Link to={address}>{name}</Link>
        </li>
      ))}
    </ul>
  );
  const inside = (open || ways.length > 0) && (
    <nav className="inside no-print" aria-label={open ? `Inside ${open.name}` : "Elsewhere"}>
      {narrow && open ? (
        <Unfolding
          key={pathname}
          name={[open.name, open.sheets.length > 1 && sheet].filter(Boolean).join(": ")}
          more={open.sheets.length - 1}
        >
          {lines}
        </Unfolding>
      ) : (
        lines
      )}
    </nav>
  );
  const paper = (
    <p className="paper-line" aria-hidden="true">
      <span data-says={of.value} />
      {boxes.map((box) => box && <span key={box.label} data-says={`${box.label}: ${box.value}`} />)}
    </p>
  );
  if (narrow)
    return (
      <header className="jobhead">
        {paper}
        <div className="boxes">
          <Box {...of} label="" also={also} />
          {find && (
            <button type="button" className="box" aria-expanded={finding} onClick={() => setFinding(!finding)}>
              <b>Find</b>
            </button>
          )}
          {who}
        </div>
        {find && finding && (
          <Opened>
            <div className="find-open">
              <Find {...find} onLeave={() => setFinding(false)} />
              <button type="button" onClick={() => setFinding(false)}>
                Leave
              </button>
            </div>
          </Opened>
        )}
        {inside}
        {bar}
      </header>
    );
  return (
    <header className="jobhead">
      {paper}
      <div className="boxes">
        <Box {...of} />
        {boxes.map((box) => box && <Box key={box.label} {...box} />)}
        {find && <Find {...find} />}
        {who}
      </div>
      {bar}
      {inside}
    </header>
  );
}

function Box({ label, value, dateTime, address, also }: HeadBox & { also?: ReactNode }) {
  const words = (
    <>
      {label && <small>{label} </small>}
      <b>{dateTime ? <time dateTime={dateTime}>{value}</time> : value}</b>
      {also && <small> {also}</small>}
    </>
  );
  return address === undefined ? (
    <div className="box">{words}</div>
  ) : (
    <Link className="box" to={address}>
      {words}
    </Link>
  );
}

/** What is inside a door, on a phone: one bar that says where one is, and opens. */
function Unfolding({ name, more, children }: { name: string; more: number; children: ReactNode }) {
  const [open, setOpen] = useState(false);
  return (
    <>
      <button type="button" className="inside-bar" aria-expanded={open} onClick={() => setOpen(!open)}>
        <b>{name}</b>
        <span>{open ? "close −" : more > 0 ? `${more} more inside +` : "go to +"}</span>
      </button>
      {open && children}
    </>
  );
}

interface HeadPanelProps {
  label: string;
  value: string;
  children: ReactNode;
}

/** A box of the head that opens a panel below it. Escape, a press elsewhere and another sheet close it. */
export function HeadPanel({ label, value, children }: HeadPanelProps) {
  const [open, setOpen] = useState(false);
  const { pathname } = useLocation();
  const box = useRef<HTMLDivElement>(null);
  const button = useRef<HTMLButtonElement>(null);
  const id = useId();
  // biome-ignore lint/correctness/useExhaustiveDependencies: another address closes it
  useEffect(() => setOpen(false), [pathname]);
  useEffect(() => {
    if (!open) return;
    const elsewhere = ({ target }: Event) => {
      if (target instanceof Node && !box.current?.contains(target)) setOpen(false);
    };
    const onEscape = ({ key }: KeyboardEvent) => {
      if (key !== "Escape") return;
      setOpen(false);
      button.current?.focus();
    };
    document.addEventListener("pointerdown", elsewhere);
    document.addEventListener("focusin", elsewhere);
    document.addEventListener("keydown", onEscape);
    return () => {
      document.removeEventListener("pointerdown", elsewhere);
      document.removeEventListener("focusin", elsewhere);
      document.removeEventListener("keydown", onEscape);
    };
  }, [open]);
  return (
    <div className="box-panel no-print" ref={box}>
      <button
        type="button"
        className="box"
        ref={button}
        aria-expanded={open}
        aria-controls={id}
        onClick={() => setOpen(!open)}
      >
        {label && <small>{label} </small>}
        <b>{value}</b>
      </button>
      <div className="panel" id={id} hidden={!open}>
        {children}
      </div>
    </div>
  );
}

/** For the element that holds the sheet: focus goes to it, and the view to its top, when the address names another. */
export function useSheetFocus(): RefObject<HTMLElement | null> {
  const { pathname } = useLocation();
  const main = useRef<HTMLElement>(null);
  const shownBefore = useRef(pathname);
  useEffect(() => {
    if (shownBefore.current === pathname) return;
    shownBefore.current = pathname;
    main.current?.focus({ preventScroll: true });
    window.scrollTo(0, 0);
  }, [pathname]);
  return main;
}
