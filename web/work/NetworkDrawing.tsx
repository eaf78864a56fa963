import { type KeyboardEvent, memo, useCallback, useLayoutEffect, useMemo, useRef, useState } from "react";
import { codeInWords } from "../shared/Code.tsx";
import { dayAndMonth, listed } from "../shared/format.ts";
import { BOLT_HEAD } from "./CriticalMark.tsx";
import { lagWords } from "./lag.ts";
import { BOX, type Layout } from "./layout.ts";
import { type Scheduled, spanWords, type WorkLink } from "./schedule.ts";
import { usePanZoom } from "./usePanZoom.ts";

interface NetworkDrawingProps {
  layout: Layout;
  rows: readonly Scheduled[];
  links: readonly WorkLink[];
  chosen: string | null;
  onChoose: (id: string | null) => void;
}

/** Boxes and links as laid out. Arrow keys go from box to box along the links, with Shift they move the drawing. */
export function NetworkDrawing({ layout, rows, links, chosen, onChoose }: NetworkDrawingProps) {
  const frame = useRef<HTMLDivElement>(null);
  const ground = useRef<SVGGElement>(null);
  const { zoom, move, fit: fitIn, show } = usePanZoom(frame, ground, layout);
  const byId = useMemo(() => new Map(rows.map((row) => [row.operation.id, row])), [rows]);
  const first = useMemo(() => rows.find((row) => row.critical && row.operation.state !== "DONE") ?? rows[0], [rows]);
  const [held, setHeld] = useState<string | null>(null);
  const current = held && byId.has(held) ? held : chosen && byId.has(chosen) ? chosen : (first?.operation.id ?? null);

  const starting = useRef(current);
  useLayoutEffect(() => {
    const box = starting.current ? layout.boxes.get(starting.current) : undefined;
    fitIn(box);
  }, [layout, fitIn]);

  const goTo = useCallback(
    (id: string | undefined) => {
      const box = id ? layout.boxes.get(id) : undefined;
      if (!id || !box) return;
      setHeld(id);
      show(box);
      requestAnimationFrame(() =>
        frame.current?.querySelector<SVGGElement>(`[data-box="${CSS.escape(id)}"]`)?.focus({ preventScroll: true }),
      );
    },
    [layout, show],
  );

  const onKey = (event: KeyboardEvent) => {
    if (event.ctrlKey || event.metaKey || event.altKey) return;
    const [across, down] = ARROWS[event.key] ?? [0, 0];
    if (event.key === "+" || event.key === "=") zoom(1.25);
    else if (event.key === "-") zoom(0.8);
    else if (event.key === "0") fitIn();
    else if (across === 0 && down === 0) {
      if ((event.key === "Enter" || event.key === " ") && current) onChoose(current === chosen ? null : current);
      else if (event.key === "Escape" && chosen) onChoose(null);
      else return;
    } else if (event.shiftKey) move(-across * 80, -down * 80);
    else if (current)
      goTo(across !== 0 ? alongLink(current, across, links, layout) : nearestInColumn(current, down, layout));
    event.preventDefault();
  };

  return (
    <>
      <div className="net-tools no-print">
        <p className="soft small">
          {`Thick boxes with a bolt head are critical. Drag to move, pinch or hold Ctrl and turn the wheel for the size. Keys: arrows go along the links, Shift with arrows moves, plus and minus change the size, 0 fits, Enter chooses.`}
        </p>
        <div className="row">
          <button type="button" onClick={() => zoom(1.25)}>
            Larger
          </button>
          <button type="button" onClick={() => zoom(0.8)}>
            Smaller
          </button>
          <button type="button" onClick={() => fitIn()}>
            All of it
          </button>
        </div>
      </div>
      {/* biome-ignore lint/a11y/noStaticElementInteractions: keys bubble up from the boxes, which take the focus */}
      <div className="net-frame" ref={frame} onKeyDown={onKey}>
        {/* biome-ignore lint/a11y/useSemanticElements: a fieldset cannot stand inside of a drawing */}
        <svg
          width="100%"
          height="100%"
          role="group"
          aria-label={`What waits for what: ${rows.length} operations, from left to right`}
        >
          <defs>
            <marker
              id="net-tip"
              viewBox="0 0 8 8"
              refX="8"
              refY="4"
              markerWidth="9"
              markerHeight="9"
              orient="auto"
              markerUnits="userSpaceOnUse"
            >
              <path d="M0 0 8 4 0 8z" className="tip" />
            </marker>
            <pattern id="net-past" width="5" height="5" patternUnits="userSpaceOnUse" patternTransform="rotate(45)">
              <path d="M0 0V5" className="net-hatch" />
            </pattern>
            <clipPath id="net-inside">
              <rect width={BOX.width - 3} height={BOX.height} />
            </clipPath>
          </defs>
          <g ref={ground}>
            <Links layout={layout} links={links} byId={byId} chosen={chosen} />
            {rows.map((row) => {
              const { id } = row.operation;
              const box = layout.boxes.get(id);
              return (
                box && (
                  <Box
                    key={id}
                    row={row}
                    x={box.x}
                    y={box.y}
                    stop={id === current}
                    chosen={id === chosen}
                    onChoose={onChoose}
                    onHold={setHeld}
                  />
                )
              );
            })}
          </g>
        </svg>
      </div>
    </>
  );
}

const ARROWS: Record<string, readonly [number, number]> = {
  ArrowLeft: [-1, 0],
  ArrowRight: [1, 0],
  ArrowUp: [0, -1],
  ArrowDown: [0, 1],
};

/** The nearest box that a link leads to, forwards or backwards. */
function alongLink(id: string, across: number, links: readonly WorkLink[], layout: Layout): string | undefined {
  const from = layout.boxes.get(id);
  if (!from) return undefined;
  const ends =
    across > 0
      ? links.filter((link) => link.before === id).map((link) => link.after)
      : links.filter((link) => link.after === id).map((link) => link.before);
  const away = (other: string) => Math.abs((layout.boxes.get(other)?.y ?? Number.POSITIVE_INFINITY) - from.y);
  return ends.filter((other) => layout.boxes.has(other)).sort((a, b) => away(a) - away(b))[0];
}

function nearestInColumn(id: string, down: number, layout: Layout): string | undefined {
  const from = layout.boxes.get(id);
  if (!from) return undefined;
  let best: { id: string; far: number } | undefined;
  for (const [other, box] of layout.boxes) {
    const dy = (box.y - from.y) * down;
    const dx = Math.abs(box.x - from.x);
    if (other === id || dy <= 0 || dx > BOX.width) continue;
    if (!best || dy + dx < best.far) best = { id: other, far: dy + dx };
  }
  return best?.id;
}

const Links = memo(function Links({
  layout,
  links,
  byId,
  chosen,
}: {
  layout: Layout;
  links: readonly WorkLink[];
  byId: ReadonlyMap<string, Scheduled>;
  chosen: string | null;
}) {
  return (
    <g>
      {links.map((link) => {
        const path = layout.paths.get(link.id);
        const [before, after] = [byId.get(link.before), byId.get(link.after)];
        if (!path || !before || !after) return null;
        const critical =
          before.critical && after.critical && before.operation.state !== "DONE" && after.operation.state !== "DONE";
        const near = chosen === link.before || chosen === link.after;
        return (
          <g key={link.id} className={`net-link${critical ? " critical" : ""}${near ? " near" : ""}`}>
            <path d={path.d} markerEnd="url(#net-tip)" />
            {link.lag !== 0 && (
              <text x={path.x} y={path.y} textAnchor="end">
                {lagWords(link.lag, link.lagUnit)}
              </text>
            )}
          </g>
        );
      })}
    </g>
  );
});

interface BoxProps {
  row: Scheduled;
  x: number;
  y: number;
  /** The one box that Tab stops at. */
  stop: boolean;
  chosen: boolean;
  onChoose: (id: string | null) => void;
  onHold: (id: string) => void;
}

const STATE_WORDS = { NOT_STARTED: "not started", UNDER_WAY: "under way", DONE: "done" } as const;
/** A title on at most two lines; what the second has no room for is cut off by the box. */
function inTwoLines(title: string, most: number): string[] {
  if (title.length <= most) return [title];
  const space = title.lastIndexOf(" ", most);
  const at = space > 0 ? space : most;
  return [title.slice(0, at), title.slice(at).trimStart()];
}

/** The last line of a box: dates and what matters most about them. */
function saidOf({ operation, earlyStartDate, earlyFinishDate, critical, lacking }: Scheduled): string {
  if (operation.state === "DONE") return "done";
  const dates = `${dayAndMonth(earlyStartDate)} to ${dayAndMonth(earlyFinishDate)}`;
  return `${dates}${critical ? ", critical" : lacking ? `, ${lacking}` : ""}`;
}

/** An operation as a strip of the job sheet: a bar at its left edge tells the state, a bolt head at its corner that it is critical. */
const Box = memo(function Box({ row, x, y, stop, chosen, onChoose, onHold }: BoxProps) {
  const { operation } = row;
  const critical = row.critical && operation.state !== "DONE";
  const open = row.waitsForOpen.length > 0;
  const said = saidOf(row);
  return (
    // biome-ignore lint/a11y/useSemanticElements: a button cannot stand inside of a drawing
    <g
      role="button"
      tabIndex={stop ? 0 : -1}
      data-box={operation.id}
      aria-pressed={chosen}
      aria-label={`${codeInWords("Operation", operation.code)} ${operation.title} ${said}, ${STATE_WORDS[operation.state]}, ${spanWords(row)}${open ? `, waits for ${listed(row.waitsForOpen, 3)}` : ""}`}
      className={`net-box ${operation.state.toLowerCase().replace("_", "-")}${critical ? " critical" : ""}${open ? " open" : ""}${chosen ? " chosen" : ""}`}
      transform={`translate(${x} ${y})`}
      onFocus={() => onHold(operation.id)}
      onClick={() => onChoose(chosen ? null : operation.id)}
    >
      <rect width={BOX.width} height={BOX.height} className="edge" />
      <rect x="0" y="0" width="9" height={BOX.height} className="state-bar" />
      {critical && <path d={`M${BOX.width - 7} 0${BOLT_HEAD}`} className="peg" />}
      <text clipPath="url(#net-inside)">
        <tspan x="17" y="18" className="net-code">
          {`${codeInWords("operation", operation.code)} `}
        </tspan>
        {inTwoLines(operation.title, 26).map((line, place) => (
          <tspan key={place} x="17" y={34 + place * 15}>
            {`${line} `}
          </tspan>
        ))}
        <tspan x="17" y="65" className="net-dates">
          {said}
        </tspan>
      </text>
    </g>
  );
});
