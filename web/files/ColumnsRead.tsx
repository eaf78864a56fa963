import { useId } from "react";
import { Table } from "../shared/Table.tsx";
import type { ImportJob } from "./job.ts";

/** By file and heading, the column that somebody says it is; "" where it is to be left alone. */
export type ColumnsSaid = Readonly<Record<string, Readonly<Record<string, string>>>>;

type ColumnRead = NonNullable<ImportJob["importPreview"]>["columns"][number];

interface ColumnsReadProps {
  columns: readonly ColumnRead[];
  said: ColumnsSaid;
  disabled: boolean;
  /** Another answer: the files are checked again by it. */
  onSay: (said: ColumnsSaid) => void;
}

/** What columns are taken for that have another name than they have here, each to be put right. */
export function ColumnsRead({ columns, said, disabled, onSay }: ColumnsReadProps) {
  return (
    <Table
      caption="Columns with other names, and what they are read as"
      captionSeen
      copy={false}
      rows={columns}
      rowKey={({ file, heading }) => `${file} ${heading}`}
      columns={[
        { id: "heading", title: "Column", lead: true, cell: ({ heading }) => heading },
        { id: "file", title: "File", cell: ({ file }) => file },
        {
          id: "as",
          title: "Read as",
          cell: (row) => (
            <ReadAs
              row={row}
              disabled={disabled}
              onSay={(name) => onSay({ ...said, [row.file]: { ...said[row.file], [row.heading]: name } })}
            />
          ),
        },
      ]}
    />
  );
}

function ReadAs({ row, disabled, onSay }: { row: ColumnRead; disabled: boolean; onSay: (name: string) => void }) {
  const id = useId();
  return (
    <>
      <label htmlFor={id} className="unseen">
        {row.heading} of {row.file} is read as
      </label>
      <select id={id} value={row.readAs ?? ""} disabled={disabled} onChange={(event) => onSay(event.target.value)}>
        <option value="">not read</option>
        {row.choices.map((name) => (
          <option key={name} value={name}>
            {name}
          </option>
        ))}
      </select>
    </>
  );
}
