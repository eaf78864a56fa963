import { useEffect, useMemo, useRef, useState } from "react";
import { counted } from "../shared/format.ts";
import { Empty, Problem } from "../shared/Page.tsx";
import { useAddressValue } from "../shared/paging.tsx";
import { ChosenOperation } from "./ChosenOperation.tsx";
import { type Layout, layNetwork } from "./layout.ts";
import { NetworkDrawing } from "./NetworkDrawing.tsx";
import type { Scheduled, WholeSchedule, WorkLink } from "./schedule.ts";

interface NetworkSheetProps {
  restoration: string;
  schedule: WholeSchedule;
  /** What the filters leave. */
  matching: readonly Scheduled[];
}

type Drawing =
  | { is: "drawing" }
  | { is: "stopped" }
  | { is: "failed"; message: string }
  | { is: "drawn"; layout: Layout; of: readonly Scheduled[] };

/** The network of the operations: what comes before what. Drawn anew when the operations or links shown are others. */
export default function NetworkSheet({ restoration, schedule, matching }: NetworkSheetProps) {
  const [chosen, choose] = useAddressValue("row");
  const { drawing, stop, again } = useLayout(matching, schedule.links);
  const row = chosen ? schedule.rows?.find(({ operation }) => operation.id === chosen) : undefined;

  if (matching.length === 0)
    return (
      <Empty title="No operation matches">
        <p>The filters leave nothing to draw.</p>
      </Empty>
    );
  return (
    <div className="network">
      {drawing.is === "drawing" && (
        <div className="state" role="status">
          <p>Drawing what waits for what, {counted(matching.length, "operation")} …</p>
          <div className="row">
            <button type="button" onClick={stop}>
              Stop drawing
            </button>
          </div>
        </div>
      )}
      {drawing.is === "stopped" && (
        <Empty
          title="The drawing was stopped"
          actions={
            <button type="button" onClick={again}>
              Draw it
            </button>
          }
        >
          <p>Fewer operations are drawn sooner: choose a trade or a state first.</p>
        </Empty>
      )}
      {drawing.is === "failed" && <Problem what="what waits for what" of={drawing.message} again={again} />}
      {drawing.is === "drawn" && (
        <NetworkDrawing
          layout={drawing.layout}
          rows={drawing.of}
          links={schedule.links}
          chosen={chosen}
          onChoose={choose}
        />
      )}
      {row && <ChosenOperation restoration={restoration} row={row} schedule={schedule} onClose={() => choose(null)} />}
    </div>
  );
}

function useLayout(rows: readonly Scheduled[], links: readonly WorkLink[]) {
  const [drawing, setDrawing] = useState<Drawing>({ is: "drawing" });
  const [turn, setTurn] = useState(0);
  const stopping = useRef<() => void>(() => {});
  const newest = useRef(rows);
  newest.current = rows;
  // A changed date moves no box: only other operations or other links do.
  const shape = useMemo(
    () => `${rows.map((row) => row.operation.id).sort()}|${links.map((link) => `${link.before}>${link.after}`).sort()}`,
    [rows, links],
  );

  // biome-ignore lint/correctness/useExhaustiveDependencies: the shape stands for rows and links
  useEffect(() => {
    let left = false;
    setDrawing({ is: "drawing" });
    const work = layNetwork(newest.current, links);
    stopping.current = () => {
      left = true;
      work.stop();
      setDrawing({ is: "stopped" });
    };
    work.layout.then(
      (layout) => {
        if (!left) setDrawing({ is: "drawn", layout, of: newest.current });
      },
      (problem: unknown) => {
        if (!left)
          setDrawing({
            is: "failed",
            message: problem instanceof Error ? problem.message : "The drawing did not come out.",
          });
      },
    );
    return () => {
      left = true;
      work.stop();
    };
  }, [shape, turn]);

  const drawn: Drawing =
    drawing.is === "drawn"
      ? { ...drawing, of: rows.filter((row) => drawing.layout.boxes.has(row.operation.id)) }
      : drawing;
  return { drawing: drawn, stop: () => stopping.current(), again: () => setTurn((n) => n + 1) };
}
