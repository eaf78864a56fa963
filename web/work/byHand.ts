import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";

export const ByHandQuery = graphql(`
  query WorkByHand($restoration: ID!) {
    holdUps(restoration: $restoration) {
      hands { orderKept }
      handLoad(first: 100) {
        totalCount
        edges {
          node { name trades people daysGained weeks { from open booked work { title hours operation { id } restoration { id machine } } } }
        }
      }
    }
  }
`);

export type HandLoadRow = ResultOf<typeof ByHandQuery>["holdUps"]["handLoad"]["edges"][number]["node"];

export interface WorkOfWeek {
  key: string;
  name: string;
  /** The row before is of the same hand. */
  again: boolean;
  title: string;
  operation: { id: string } | null;
  restoration: { id: string; machine: string };
  hours: number;
}

/** The work of one week: by hand, each in order of start. */
export const workIn = (loads: readonly HandLoadRow[], week: string): WorkOfWeek[] =>
  loads.flatMap(({ name, weeks }) =>
    (weeks.find(({ from }) => from === week)?.work ?? []).map(({ title, hours, operation, restoration }, place) => ({
      key: `${name} ${place}`,
      name,
      again: place > 0,
      title,
      operation,
      restoration,
      hours,
    })),
  );
