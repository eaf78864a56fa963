import { useState } from "react";
import { Link } from "react-router";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { addressOf } from "../shared/addresses.ts";
import { counted, plainNumber } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { useSave } from "../shared/save.tsx";
import { Table } from "../shared/Table.tsx";
import { ColumnsRead, type ColumnsSaid } from "./ColumnsRead.tsx";
import { ImportFaults } from "./ImportFaults.tsx";
import type { ImportJob, useImportJob } from "./job.ts";

interface ImportRunProps {
  run: ReturnType<typeof useImportJob>;
  /** Absent where there is none yet. */
  restoration: string | undefined;
  said: ColumnsSaid;
  onColumns: (said: ColumnsSaid) => void;
}

const STATE_WORDS: Record<ImportJob["state"], string> = {
  READING: "Reading the files",
  CHECKING: "Checking the rows",
  READY: "Checked; nothing is written yet",
  WRITING: "Writing",
  DONE: "Imported",
  FAILED: "Not imported",
  STOPPED: "Stopped",
};

/** How far an import is; what it found; what it did. */
export function ImportRun({ run, restoration, said, onColumns }: ImportRunProps) {
  const { job, problem, asking, apply, stop } = run;
  if (!job)
    return (
      <div className="run" role="status">
        {problem ?? "Waiting for the server …"}
      </div>
    );
  const working = job.state === "READING" || job.state === "CHECKING" || job.state === "WRITING";
  const preview = job.importPreview;
  const faults = preview?.faults.totalCount ?? 0;
  return (
    <div className="run">
      <div role="status">
        <h3>{STATE_WORDS[job.state]}</h3>
        {working && (
          <p>
            {job.stage}
            {job.total > 0 ? `: ${plainNumber(job.done)} of ${plainNumber(job.total)}` : " …"}
          </p>
        )}
      </div>
      {working && (
        <div className="row">
          <progress
            aria-label={STATE_WORDS[job.state]}
            {...(job.total > 0 ? { value: job.done, max: job.total } : {})}
          />
          <button type="button" disabled={asking} onClick={() => void stop()}>
            Stop
          </button>
        </div>
      )}
      {problem && (
        <p className="form-problem" role="alert">
          {problem}
        </p>
      )}
      {job.problem && (
        <p className="form-problem" role="alert">
          {job.problem.message} Nothing was changed; your choice of files is kept.
        </p>
      )}
      {job.state === "STOPPED" && <p>Nothing was changed; your choice of files is kept.</p>}
      {job.state === "DONE" && preview && (
        <Done
          restoration={preview.restoration ?? restoration ?? ""}
          machine={preview.machine}
          wrote={preview.counts.some((count) => count.added + count.changed > 0)}
        />
      )}
      {preview && !working && (
        <>
          {job.state === "READY" && (
            <p className="prose">
              {faults > 0
                ? `${counted(faults, "value")} must be corrected before anything is written. Correct the files and choose them again${preview.columns.length > 0 ? ", or say below what their columns are to be read as where that is the cause" : ""}.`
                : `All of it can be taken into ${preview.machine}.`}
            </p>
          )}
          {job.state === "READY" && (
            <div className="row">
              {preview.applicable && faults === 0 && (
                <button type="button" className="main" disabled={asking} onClick={() => void apply()}>
                  Import
                </button>
              )}
              <button type="button" disabled={asking} onClick={() => void stop()}>
                {faults > 0 ? "Close this check" : "Do not import"}
              </button>
            </div>
          )}
          {faults > 0 && <ImportFaults job={job.id} kind="faults" />}
          {preview.notices.totalCount > 0 && <ImportFaults job={job.id} kind="notices" />}
          {preview.columns.length > 0 && job.state === "READY" && (
            <ColumnsRead columns={preview.columns} said={said} disabled={asking} onSay={onColumns} />
          )}
          <Table
            caption="Rows by file"
            captionSeen
            rows={preview.counts}
            rowKey={(row) => row.file}
            columns={[
              { id: "file", title: "File", lead: true, cell: FileOfCount },
              { id: "rows", title: "Rows", numeric: true, cell: (row) => plainNumber(row.rows) },
              { id: "added", title: "New", numeric: true, cell: (row) => plainNumber(row.added) },
              { id: "changed", title: "Changed", numeric: true, cell: (row) => plainNumber(row.changed) },
              { id: "same", title: "Same", numeric: true, cell: (row) => plainNumber(row.same) },
            ]}
          />
        </>
      )}
    </div>
  );
}

function FileOfCount({ file, holds }: { file: string; holds: string }) {
  return (
    <>
      {file}
      {holds && <span className="soft small file-holds">{holds}</span>}
    </>
  );
}

const NewestChangeQuery = graphql(`
  query NewestChange($restoration: ID!) {
    restoration(id: $restoration) {
      id
      changes(first: 1) { edges { node { id summary undone final } } }
    }
  }
`);

/** The import is one change, so one undo takes all of it back. */
function Done({ restoration, machine, wrote }: { restoration: string; machine: string; wrote: boolean }) {
  const { undo } = useSave();
  const [undoing, setUndoing] = useState(false);
  const [result] = useQuery({
    query: NewestChangeQuery,
    variables: { restoration },
    requestPolicy: "cache-and-network",
  });
  const newest = result.data?.restoration.changes.edges[0]?.node;
  // Where nothing differed no change was recorded, and the newest one is somebody else's.
  const change = wrote && newest?.summary.startsWith("Imported") ? newest : undefined;
  return (
    <>
      <p>
        <Mark
          word={wrote ? (change?.summary ?? `Everything is in ${machine}`) : `${machine} had all of it already`}
          colour="verdigris"
          shape="full"
        />
      </p>
      <div className="row">
        <Link className="button" to={addressOf.holdUps(restoration)} reloadDocument>
          See what holds it up
        </Link>
        {change && !change.undone && !change.final && (
          <button
            type="button"
            disabled={undoing}
            onClick={async () => {
              setUndoing(true);
              await undo(change.id);
              setUndoing(false);
            }}
          >
            Undo the import
          </button>
        )}
      </div>
    </>
  );
}
