/** The solver of mixed-integer programmes that the engine is handed: HiGHS, as WebAssembly from its package. */
import type { Programme, Solver } from "../engine/choice/programme.ts";
import type { ChoiceWork } from "../engine/choice/work.ts";

/** True where suppliers charge on whole orders, so that a choice needs a solver. */
export const charged = ({ orders = [] }: ChoiceWork): boolean => orders.length > 0;

/** The solver, where a choice needs one. */
export const solverFor = (work: ChoiceWork): Promise<Solver> | undefined => (charged(work) ? highs() : undefined);

let loading: Promise<Solver> | undefined;

/** Loaded once a thread, and only where it is asked for. */
export function highs(): Promise<Solver> {
  loading ??= load();
  return loading;
}

async function load(): Promise<Solver> {
  const { default: loadHighs } = await import("highs");
  const { createModel, constants } = await loadHighs();
  const { optimal, infeasible, unboundedOrInfeasible } = constants.modelStatus;
  return (programme) => {
    const model = createModel(dataOf(programme));
    try {
      for (const [name, value] of Object.entries(OPTIONS)) model.options.set(name, value);
      model.run();
      const status = model.getModelStatus();
      // No programme of the engine's is unbounded.
      if (status === infeasible || status === unboundedOrInfeasible) return null;
      if (status !== optimal) throw new Error(`The solver came to no answer (${status}).`);
      return model.getSolution().colValue;
    } finally {
      model.dispose();
    }
  };
}

/** Proved to less than half of one, as costs are whole; a column is whole to within far less than a cost can be large. */
const OPTIONS = {
  output_flag: false,
  mip_rel_gap: 0,
  mip_abs_gap: 0.4,
  mip_feasibility_tolerance: 1e-9,
  primal_feasibility_tolerance: 1e-9,
} as const;

function dataOf({ columns, rows }: Programme) {
  const starts = [0];
  const indices: number[] = [];
  const values: number[] = [];
  for (const { terms } of rows) {
    for (const [column, factor] of terms) {
      indices.push(column);
      values.push(factor);
    }
    starts.push(indices.length);
  }
  return {
    numCols: columns.length,
    numRows: rows.length,
    colCost: columns.map(({ cost }) => cost),
    colLower: columns.map(({ low }) => low),
    colUpper: columns.map(({ high }) => high),
    rowLower: rows.map(({ low }) => low),
    rowUpper: rows.map(({ high }) => high),
    integrality: Int32Array.from(columns, ({ whole }) => (whole ? 1 : 0)),
    matrix: { format: "csr" as const, numRows: rows.length, numCols: columns.length, starts, indices, values },
  };
}
