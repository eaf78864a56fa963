import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { plainNumber } from "../shared/format.ts";
import type { Line } from "./tables.ts";

export const CommonWorkQuery = graphql(`
  query CommonWork { commonWork { name description counts { one many least most usual } } }
`);

export const LinesQuery = graphql(`
  query CommonLines($name: String!, $count: Int) {
    commonWork(name: $name) {
      lines(count: $count) {
        parts { name quantity group safetyCritical }
        work { title trade group hoursLeast hoursLikely hoursMost after needs notes }
      }
    }
  }
`);

type Lines = ResultOf<typeof LinesQuery>["commonWork"][number]["lines"];
export type Cells = Line["cells"];

/** As they are typed into the tables. */
export const cellsOf = ({ parts, work }: Lines): { parts: Cells[]; work: Cells[] } => ({
  parts: parts.map(({ name, quantity, group, safetyCritical }) => ({
    name,
    quantity: String(quantity),
    group,
    safety_critical: safetyCritical ? "yes" : "no",
  })),
  work: work.map(({ title, trade, group, hoursLeast, hoursLikely, hoursMost, after, needs, notes }) => ({
    title,
    trade,
    group,
    hours_least: plainNumber(hoursLeast, 2),
    hours_likely: plainNumber(hoursLikely, 2),
    hours_most: plainNumber(hoursMost, 2),
    after: after.join("; "),
    needs: needs.join("; "),
    notes,
  })),
});
