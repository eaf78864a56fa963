// biome-ignore-all lint/a11y/noRedundantRoles: stacked rows lose their roles with their display, so all are spelt out
import { Fragment, type KeyboardEvent, type ReactNode, useRef, useState } from "react";
import { type Brief, BriefLine } from "./Brief.tsx";
import type { Choice } from "./choice.ts";
import { Narrowing } from "./Filters.tsx";
import { useAddress } from "./useAddress.ts";
import { useNarrow } from "./useNarrow.ts";

export interface Column<Row> {
  id: string;
  /** Head of the column, and the label of the value where rows are stacked. */
  title: string;
  cell: (row: Row) => ReactNode;
  numeric?: boolean;
  /** Names the row: a header cell, and the first line where rows are stacked. One column of a table. */
  lead?: boolean;
  /** Buttons, not data: left out of copies and of print. */
  controls?: boolean;
  /** The head sorts; the table's `sort` says how. */
  sortable?: boolean;
  /** Where the table sorts the rows itself: what it compares. Null stands last. */
  sortBy?: (row: Row) => string | number | null | undefined;
}

export interface Sort {
  column: string;
  descending: boolean;
}

/** The order of a list, kept in the address under `name` ("sort=-needBy" is descending), going back to the first page of `restart`. */
export function useSort(
  fallback: Sort,
  name = "sort",
  restart: readonly string[] = [],
): [Sort, (column: string) => void] {
  const [params, change] = useAddress();
  const sort = sortIn(params.get(name), fallback);
  const choose = (column: string) =>
    change(
      (next) => {
        // The order as it stands in the address: a second click may come before the first is drawn.
        const now = sortIn(next.get(name), fallback);
        const descending = now.column === column && !now.descending;
        next.set(name, `${descending ? "-" : ""}${column}`);
        for (const list of restart) for (const key of [list, `${list}.before`, `${list}.end`]) next.delete(key);
      },
      { replace: true },
    );
  return [sort, choose];
}

const sortIn = (kept: string | null, fallback: Sort): Sort =>
  kept ? { column: kept.replace(/^-/, ""), descending: kept.startsWith("-") } : fallback;

interface TableProps<Row> {
  /** What the table shows, to screen readers; seen when `captionSeen`. */
  caption: string;
  captionSeen?: boolean;
  rows: readonly Row[];
  columns: readonly Column<Row>[];
  rowKey: (row: Row) => string;
  sort?: Sort;
  onSort?: (column: string) => void;
  /** Fields that narrow the list; write them as `.field` blocks. */
  filters?: ReactNode;
  /** A Paging element. */
  paging?: ReactNode;
  /** Shown instead of rows. */
  empty?: ReactNode;
  /** Offers to copy the rows into a spreadsheet. On by default. */
  copy?: boolean;
  /** What stands under a row across all columns, such as a form that changes it; null for nothing. */
  below?: (row: Row) => ReactNode;
  /** What a row says in one line or two on a narrow screen; the line leads on, or unfolds the row. */
  brief?: (row: Row) => Brief;
  /** Rows can be chosen, by their keys. */
  choosing?: Choosing<Row>;
}

interface Choosing<Row> {
  choice: Choice;
  /** What a row is called. */
  name: (row: Row) => string;
  /** What is done with those that are chosen. */
  line: ReactNode;
}

/** Rows under sortable heads; on a narrow screen each row becomes stacked lines with labels. */
export function Table<Row>({
  caption,
  captionSeen,
  rows,
  columns,
  rowKey,
  sort,
  onSort,
  filters,
  paging,
  empty,
  copy = true,
  below,
  brief,
  choosing,
}: TableProps<Row>) {
  const narrow = useNarrow();
  const [open, setOpen] = useState<ReadonlySet<string>>(new Set());
  const briefOf = narrow ? brief : undefined;
  const turn = (key: string) =>
    setOpen((now) => (now.has(key) ? new Set([...now].filter((other) => other !== key)) : new Set([...now, key])));
  const table = useRef<HTMLTableElement>(null);
  const [copied, setCopied] = useState<string | null>(null);
  const by = columns.find((column) => column.id === sort?.column)?.sortBy;
  const shown = by && sort ? sortedBy(rows, by, sort.descending) : rows;

  const keys = shown.map(rowKey);
  const { boxOf, boxOfAll } = useBoxes(keys, choosing?.choice);
  const chooses = choosing?.choice.on === true;

  const copyRows = async () => {
    if (!table.current) return;
    try {
      await navigator.clipboard.writeText(tabbed(table.current));
      setCopied("Copied: paste it into a spreadsheet.");
    } catch {
      setCopied("This browser does not allow copying here.");
    }
  };

  return (
    <div className="table">
      {filters && <div className="table-filters no-print">{filters}</div>}
      {onSort && columns.some((column) => column.sortable) && rows.length > 1 && (
        <NarrowSort columns={columns} sort={sort} onSort={onSort} folded={brief !== undefined} />
      )}
      {choosing?.line}
      {rows.length === 0 && empty ? (
        empty
      ) : (
        <div className="table-scroll">
          <table ref={table} className="stacks" role="table">
            <caption className={captionSeen ? undefined : "unseen"}>{caption}</caption>
            <thead role="rowgroup">
              <tr role="row">
                {chooses && (
                  <th scope="col" role="columnheader" className="choose controls no-print">
                    {/* Heads are out of sight on a narrow screen: there the line above chooses all. */}
                    {narrow ? <span className="unseen">Chosen</span> : boxOfAll()}
                  </th>
                )}
                {briefOf && (
                  <th scope="col" role="columnheader" className="controls no-print">
                    <span className="unseen">In brief</span>
                  </th>
                )}
                {columns.map((column) => (
                  <th
                    key={column.id}
                    scope="col"
                    role="columnheader"
                    className={column.controls ? "controls no-print" : column.numeric ? "number" : undefined}
                    aria-sort={sort?.column === column.id ? (sort.descending ? "descending" : "ascending") : undefined}
                  >
                    {column.sortable && onSort ? (
                      <button type="button" onClick={() => onSort(column.id)}>
                        {column.title}
                      </button>
                    ) : column.controls ? (
                      <span className="unseen">{column.title || "Change"}</span>
                    ) : (
                      column.title
                    )}
                  </th>
                ))}
              </tr>
            </thead>
            <tbody role="rowgroup">
              {shown.map((row) => {
                const under = below?.(row);
                const key = rowKey(row);
                const unfolded = open.has(key) || Boolean(under);
                const chosen = chooses && choosing.choice.ids.has(key);
                return (
                  <Fragment key={key}>
                    <tr
                      role="row"
                      data-open={briefOf && unfolded ? "" : undefined}
                      data-chosen={chosen ? "" : undefined}
                    >
                      {chooses && (
                        <td role="cell" className="choose controls no-print">
                          {boxOf(key, choosing.name(row))}
                        </td>
                      )}
                      {briefOf && (
                        <th scope="row" role="rowheader" className="brief controls no-print" data-lead="">
                          <BriefLine of={briefOf(row)} open={unfolded} onTurn={() => turn(key)} />
                        </th>
                      )}
                      {columns.map((column) => {
                        const content = column.cell(row);
                        const blank = content === null || content === undefined || content === "" || content === false;
                        const looks = [column.numeric && "number", column.controls && "controls no-print"];
                        return column.lead ? (
                          <th key={column.id} scope="row" role="rowheader" data-lead="" data-label={column.title}>
                            <span>{content}</span>
                          </th>
                        ) : (
                          <td
                            key={column.id}
                            role="cell"
                            className={looks.filter(Boolean).join(" ") || undefined}
                            data-label={column.title}
                            data-blank={blank ? "" : undefined}
                          >
                            {blank ? null : <span>{content}</span>}
                          </td>
                        );
                      })}
                    </tr>
                    {under && (
                      <tr role="row" className="below no-print">
                        <td role="cell" colSpan={columns.length + (briefOf ? 1 : 0) + (chooses ? 1 : 0)}>
                          {under}
                        </td>
                      </tr>
                    )}
                  </Fragment>
                );
              })}
            </tbody>
          </table>
        </div>
      )}
      <div className="table-foot">
        <div className="table-pages">{paging}</div>
        {copy && rows.length > 0 && (
          <div className="row table-copy no-print">
            <span role="status" className="soft">
              {copied}
            </span>
            <button type="button" onClick={() => void copyRows()}>
              <span>Copy for a spreadsheet</span>
              <span className="unseen">: {caption}</span>
            </button>
          </div>
        )}
      </div>
    </div>
  );
}

/** A box a row, and one for all rows of the page. With Shift all from the last one on are chosen; arrows go from box to box. */
function useBoxes(keys: readonly string[], choice: Choice | undefined) {
  const last = useRef<string | null>(null);
  const turn = (key: string, chosen: boolean, shift: boolean) => {
    const [from, to] = [shift ? keys.indexOf(last.current ?? "") : -1, keys.indexOf(key)];
    choice?.put(from < 0 ? [key] : keys.slice(Math.min(from, to), Math.max(from, to) + 1), chosen);
    last.current = key;
  };
  const walk = (event: KeyboardEvent<HTMLInputElement>) => {
    const by = event.key === "ArrowDown" ? 1 : event.key === "ArrowUp" ? -1 : 0;
    if (by === 0) return;
    event.preventDefault();
    const boxes = [
      ...(event.currentTarget.closest("table")?.querySelectorAll<HTMLInputElement>(".choose input") ?? []),
    ];
    boxes[boxes.indexOf(event.currentTarget) + by]?.focus();
  };
  const all = keys.length > 0 && keys.every((key) => choice?.ids.has(key));
  const some = keys.some((key) => choice?.ids.has(key));
  return {
    boxOf: (key: string, name: string) => (
      <label>
        <input
          type="checkbox"
          checked={choice?.ids.has(key) ?? false}
          onKeyDown={walk}
          onChange={({ target, nativeEvent }) => turn(key, target.checked, (nativeEvent as MouseEvent).shiftKey)}
        />
        <span className="unseen">Choose {name}</span>
      </label>
    ),
    boxOfAll: () => (
      <label>
        <input
          type="checkbox"
          checked={all}
          ref={(box) => {
            if (box) box.indeterminate = some && !all;
          }}
          onKeyDown={walk}
          onChange={({ target }) => choice?.put(keys, target.checked)}
        />
        <span className="unseen">Choose all of this page</span>
      </label>
    ),
  };
}

/** Heads are out of sight where rows are stacked: the same choice as a field. */
function NarrowSort<Row>({
  columns,
  sort,
  onSort,
  folded,
}: {
  columns: readonly Column<Row>[];
  sort?: Sort | undefined;
  onSort: (column: string) => void;
  folded: boolean;
}) {
  const arrow = sort?.descending ? " ↓" : " ↑";
  const choices = columns
    .filter((column) => column.sortable)
    .map((column) => (
      <button key={column.id} type="button" aria-pressed={sort?.column === column.id} onClick={() => onSort(column.id)}>
        {column.title}
        {sort?.column === column.id && arrow}
      </button>
    ));
  if (!folded)
    return (
      <p className="narrow-sort no-print">
        <span>Sort by</span>
        {choices}
      </p>
    );
  const by = columns.find(({ id }) => id === sort?.column)?.title;
  return (
    <div className="narrow-sort no-print">
      <Narrowing title="Sort" says={[by && by + arrow]}>
        {choices}
      </Narrowing>
    </div>
  );
}

function sortedBy<Row>(rows: readonly Row[], by: NonNullable<Column<Row>["sortBy"]>, descending: boolean): Row[] {
  const collator = new Intl.Collator("en-GB", { numeric: true });
  return rows.toSorted((one, other) => {
    const a = by(one) ?? null;
    const b = by(other) ?? null;
    if (a === null || b === null) return a === b ? 0 : a === null ? 1 : -1;
    const order = typeof a === "number" && typeof b === "number" ? a - b : collator.compare(String(a), String(b));
    return descending ? -order : order;
  });
}

/** A table's text as tab-separated lines, as it is seen. A cell that begins like a formula is kept from being one. */
export function tabbed(table: HTMLTableElement): string {
  const line = (row: HTMLTableRowElement) =>
    [...row.cells]
      .filter((cell) => !cell.classList.contains("controls"))
      .map((cell) => (cell.textContent ?? "").replace(/\s+/g, " ").trim())
      .map((text) => (/^[=+@]|^-(?![\d.])/.test(text) ? `'${text}` : text))
      .join("\t");
  return [...table.rows]
    .filter((row) => !row.classList.contains("below"))
    .map(line)
    .join("\n");
}
