import { type ReactNode, type RefObject, useLayoutEffect, useMemo, useRef, useState } from "react";
import { Folded } from "../shared/Folded.tsx";
import { dayAndMonth, dayNumber, hours } from "../shared/format.ts";
import { WorkMark } from "../shared/Mark.tsx";
import { useAddressValue } from "../shared/paging.tsx";
import { BOLT_HEAD, CriticalMark, OpenMark, OperationLink } from "./CriticalMark.tsx";
import { Neighbours } from "./Neighbours.tsx";
import { type Scheduled, type ShopWeek, spanWords, type WholeSchedule, type WorkLink } from "./schedule.ts";
import { closedRuns, scaleOver, type TimeScale, ticksOf } from "./timeScale.ts";

interface OperationBarsProps {
  restoration: string;
  schedule: WholeSchedule;
  week: ShopWeek;
  /** All rows that the filters leave, for one scale over all pages. */
  matching: readonly Scheduled[];
  /** Rows of this page. */
  rows: readonly Scheduled[];
}

const LINE = 28;
/** Pixels a day; 0 fits all of it into the page. */
const SCALES: Record<string, number> = { fit: 0, wider: 5, widest: 20 };

/** What the scales were called in earlier addresses. */
const EARLIER: Readonly<Record<string, string>> = { weeks: "wider", days: "widest" };

/** Operations on the shop's calendar: a line each, its span, the float after it, closed days shaded. */
export function OperationBars({ restoration, schedule, week, matching, rows }: OperationBarsProps) {
  const [chosen, choose] = useAddressValue("row");
  const [asked, setScale] = useAddressValue("scale");
  const named = EARLIER[asked ?? ""] ?? asked ?? "fit";
  const wanted = Object.hasOwn(SCALES, named) ? named : "fit";
  const sheet = useRef<HTMLDivElement>(null);
  const body = useRef<HTMLDivElement>(null);
  const [room, setRoom] = useState(0);

  useLayoutEffect(() => {
    const track = sheet.current?.querySelector<HTMLElement>(".cal-measure");
    if (!track) return;
    const measure = () => setRoom(track.clientWidth);
    measure();
    const watch = new ResizeObserver(measure);
    watch.observe(track);
    return () => watch.disconnect();
  }, []);

  const { figuresFor, completion } = schedule;
  const target = completion?.targetDate ?? null;
  const scale = useMemo(() => {
    const dates = [
      figuresFor,
      ...matching.flatMap((row) => [row.earlyStartDate, row.earlyFinishDate, row.lateFinishDate]),
    ];
    let last = figuresFor;
    for (const date of dates) if (date > last) last = date;
    // A target far beyond the work would press all lines to the left edge.
    if (target && dayNumber(target) - dayNumber(last) < 120) dates.push(target);
    return scaleOver(dates, Math.max(room, 260), SCALES[wanted] ?? 0);
  }, [matching, figuresFor, target, room, wanted]);
  const { weeks, months } = ticksOf(scale);
  const runs = closedRuns(scale, week);
  const rules = [
    { day: dayNumber(figuresFor), words: `figures for ${dayAndMonth(figuresFor)}`, kind: "data" },
    ...(target && dayNumber(target) < scale.to
      ? [{ day: dayNumber(target) + 1, words: `target ${dayAndMonth(target)}`, kind: "target" }]
      : []),
  ];

  return (
    <div className="calendar" data-scale={wanted} ref={sheet}>
      <Key short={runs.length === 0} scale={wanted} onScale={(value) => setScale(value === "fit" ? null : value)} />
      <div
        className="cal-scroll"
        {...(wanted === "fit"
          ? {}
          : { tabIndex: 0, role: "region", "aria-label": "Operations on the calendar; scrolls sideways" })}
      >
        <div className="cal-head" aria-hidden="true">
          <div className="cal-label" />
          <div className="cal-measure">
            <svg width={scale.width} height="44" aria-hidden="true">
              {months.map((month) => (
                <g key={month.day}>
                  <path d={`M${scale.x(month.day)} 0V44`} className="cal-month" />
                  <text x={scale.x(month.day) + 4} y="14" className="cal-month-name">
                    {month.label}
                  </text>
                </g>
              ))}
              {weeks.map((tick) => (
                <text key={tick.day} x={scale.x(tick.day)} y="38" className="cal-week-name">
                  {tick.label}
                </text>
              ))}
            </svg>
          </div>
        </div>
        <div className="cal-body" ref={body}>
          <div className="cal-ground" aria-hidden="true">
            <svg width={scale.width} height="100%" aria-hidden="true">
              <defs>
                <pattern
                  id="cal-closed"
                  width="5"
                  height="5"
                  patternUnits="userSpaceOnUse"
                  patternTransform="rotate(45)"
                >
                  <path d="M0 0V5" className="cal-hatch" />
                </pattern>
              </defs>
              {runs.map((run) => (
                <rect
                  key={run.from}
                  x={scale.x(run.from)}
                  y="0"
                  width={(run.to - run.from) * scale.perDay}
                  height="100%"
                  fill="url(#cal-closed)"
                />
              ))}
              {weeks.map((tick) => (
                <line
                  key={tick.day}
                  x1={scale.x(tick.day)}
                  x2={scale.x(tick.day)}
                  y1="0"
                  y2="100%"
                  className="cal-week"
                />
              ))}
              {months.map((month) => (
                <line
                  key={month.day}
                  x1={scale.x(month.day)}
                  x2={scale.x(month.day)}
                  y1="0"
                  y2="100%"
                  className="cal-month"
                />
              ))}
              {rules.map((rule) => (
                <line
                  key={rule.kind}
                  x1={scale.x(rule.day)}
                  x2={scale.x(rule.day)}
                  y1="0"
                  y2="100%"
                  className={`cal-rule ${rule.kind}`}
                />
              ))}
            </svg>
          </div>
          <div className="cal-rules" aria-hidden="true">
            <div className="cal-label" />
            <svg width={scale.width} height="20" aria-hidden="true">
              {rules.map((rule) => {
                const before = scale.x(rule.day) > scale.width - 110;
                return (
                  <text
                    key={rule.kind}
                    x={scale.x(rule.day) + (before ? -5 : 5)}
                    y="14"
                    textAnchor={before ? "end" : "start"}
                    className={`cal-rule-name ${rule.kind}`}
                  >
                    {rule.words}
                  </text>
                );
              })}
            </svg>
          </div>
          <ol className="cal-lines">
            {rows.map((row) => (
              <Line
                key={row.operation.id}
                restoration={restoration}
                row={row}
                scale={scale}
                figuresFor={figuresFor}
                chosen={row.operation.id === chosen}
                onChoose={() => choose(row.operation.id === chosen ? null : row.operation.id)}
              >
                <Neighbours
                  level={2}
                  restoration={restoration}
                  of={row}
                  rows={schedule.rows ?? []}
                  links={schedule.links}
                  shown={rows}
                />
              </Line>
            ))}
          </ol>
          {chosen && <Threads body={body} chosen={chosen} rows={rows} links={schedule.links} scale={scale} />}
        </div>
      </div>
    </div>
  );
}

interface LineProps {
  restoration: string;
  row: Scheduled;
  scale: TimeScale;
  figuresFor: string;
  chosen: boolean;
  onChoose: () => void;
  /** Shown under the line while it is chosen. */
  children: ReactNode;
}

function Line({ restoration, row, scale, figuresFor, chosen, onChoose, children }: LineProps) {
  const { operation } = row;
  const critical = row.critical && operation.state !== "DONE";
  return (
    <li className={`cal-line${chosen ? " chosen" : ""}`} data-operation={operation.id}>
      <div className="cal-label">
        <p className="cal-name">
          <OperationLink restoration={restoration} of={operation} />
        </p>
        <p className="cal-facts">
          <WorkMark state={operation.state} />
          {critical && <CriticalMark />}
          <span className="nowrap">{spanWords(row)}</span>
          {!critical && operation.state !== "DONE" && (
            <span className="soft nowrap">float {hours(row.totalFloat)}</span>
          )}
          {operation.state === "UNDER_WAY" && operation.mayBePutDown && (
            <span className="soft nowrap">may be put down</span>
          )}
          {row.waitsForOpen.length > 0 && <OpenMark of={row} />}
        </p>
      </div>
      <button type="button" className="cal-choose" aria-expanded={chosen} onClick={onChoose}>
        <span className="unseen">What comes before and after {operation.title}</span>
        <Span row={row} scale={scale} figuresFor={figuresFor} critical={critical} />
      </button>
      {chosen && <div className="cal-chosen">{children}</div>}
    </li>
  );
}

function Span({
  row,
  scale,
  figuresFor,
  critical,
}: {
  row: Scheduled;
  scale: TimeScale;
  figuresFor: string;
  critical: boolean;
}) {
  const { operation } = row;
  const start = scale.x(
    dayNumber(operation.state === "NOT_STARTED" ? row.earlyStartDate : (operation.startedOn ?? row.earlyStartDate)),
  );
  const end = Math.max(start + 3, scale.x(dayNumber(row.earlyFinishDate) + 1));
  const left = Math.max(0, start);
  const late = scale.x(dayNumber(row.lateFinishDate) + 1);
  const now = Math.min(end, Math.max(left, scale.x(dayNumber(figuresFor))));
  const state = operation.state.toLowerCase().replace("_", "-");
  return (
    <svg
      width={scale.width}
      height={LINE}
      aria-hidden="true"
      className={`cal-span ${state}${critical ? " critical" : ""}${row.waitsForOpen.length > 0 ? " open" : ""}`}
    >
      {operation.state !== "DONE" && late > end + 1 && (
        <path className="float" d={`M${end} ${LINE / 2}H${late}M${late} ${LINE / 2 - 4}v8`} />
      )}
      <rect className="work" x={left} y="7" width={Math.max(2, end - left)} height={LINE - 14} />
      {operation.state === "UNDER_WAY" && now > left && (
        <rect className="past" x={left} y="7" width={now - left} height={LINE - 14} />
      )}
      {critical && <path className="peg" d={`M${end - 4} ${LINE / 2}${BOLT_HEAD}`} />}
    </svg>
  );
}

/** Curves from what comes before the chosen operation, and to what comes after it, where both stand on the page. */
function Threads({
  body,
  chosen,
  rows,
  links,
  scale,
}: {
  body: RefObject<HTMLDivElement | null>;
  chosen: string;
  rows: readonly Scheduled[];
  links: readonly WorkLink[];
  scale: TimeScale;
}) {
  const [threads, setThreads] = useState<{ id: string; d: string; kind: string }[]>([]);
  const [place, setPlace] = useState({ left: 0, height: 0 });
  useLayoutEffect(() => {
    const box = body.current;
    if (!box) return;
    const draw = () => {
      const origin = box.getBoundingClientRect();
      const at = new Map<string, { y: number; left: number }>();
      for (const line of box.querySelectorAll<HTMLElement>("[data-operation]")) {
        const track = line.querySelector(".cal-span")?.getBoundingClientRect();
        if (track)
          at.set(line.dataset.operation ?? "", {
            y: track.top - origin.top + track.height / 2,
            left: track.left - origin.left,
          });
      }
      const found = new Map(rows.map((row) => [row.operation.id, row]));
      const next: typeof threads = [];
      for (const link of links) {
        if (link.before !== chosen && link.after !== chosen) continue;
        const [one, two] = [at.get(link.before), at.get(link.after)];
        const [from, to] = [found.get(link.before), found.get(link.after)];
        if (!one || !two || !from || !to) continue;
        const x1 = scale.x(dayNumber(from.earlyFinishDate) + 1);
        const x2 = scale.x(dayNumber(to.earlyStartDate));
        const bend = Math.max(14, Math.abs(x2 - x1) / 2);
        next.push({
          id: link.id,
          kind: link.after === chosen ? "before" : "after",
          d: `M${x1} ${one.y}C${x1 + bend} ${one.y} ${x2 - bend} ${two.y} ${x2} ${two.y}`,
        });
      }
      setThreads(next);
      setPlace({ left: at.get(chosen)?.left ?? [...at.values()][0]?.left ?? 0, height: box.clientHeight });
    };
    draw();
    const watch = new ResizeObserver(draw);
    watch.observe(box);
    return () => watch.disconnect();
  }, [body, chosen, rows, links, scale]);
  return (
    <svg
      className="cal-threads"
      aria-hidden="true"
      style={{ left: place.left }}
      width={scale.width}
      height={place.height}
    >
      <defs>
        <marker
          id="cal-tip"
          viewBox="0 0 8 8"
          refX="7"
          refY="4"
          markerWidth="8"
          markerHeight="8"
          orient="auto"
          markerUnits="userSpaceOnUse"
        >
          <path d="M0 0 8 4 0 8z" className="tip" />
        </marker>
      </defs>
      {threads.map((thread) => (
        <path key={thread.id} d={thread.d} className={thread.kind} markerEnd="url(#cal-tip)" />
      ))}
    </svg>
  );
}

/** How to read the drawing, and its scale. */
function Key({ short, scale, onScale }: { short: boolean; scale: string; onScale: (scale: string) => void }) {
  return (
    <Folded summary="How to read it, and its scale">
      <div className="cal-key">
        <p className="soft small">
          Filled: done. Half filled: under way. Empty: not started. Thick outline ending in a bolt head: critical.
          Broken outline: waits for something without a source or remedy. Thin line: float.{" "}
          {short ? "Closed days are too narrow to be shaded at this scale." : "Hatched: the shop is closed."}
        </p>
        <div className="row no-print">
          {(
            [
              ["fit", "Fit the page"],
              ["wider", "Wider"],
              ["widest", "Widest"],
            ] as const
          ).map(([value, words]) => (
            <button key={value} type="button" aria-pressed={scale === value} onClick={() => onScale(value)}>
              {words}
            </button>
          ))}
        </div>
      </div>
    </Folded>
  );
}
