import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { dateInFull } from "../shared/format.ts";

export const ByHandQuery = graphql(`
  query WorkByHand($restoration: ID!, $mayHands: Boolean!) {
    shop: hands(first: 1) @include(if: $mayHands) { totalCount }
    holdUps(restoration: $restoration) {
      figuresFor
      restoration { id revision planRevision }
      completion { entered }
      hands { orderKept }
      handLoad(first: 100) {
        totalCount
        edges {
          node { name trades people daysGained weeks { from open booked away { from to } work { title hours operation { id } restoration { id machine } } } }
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
  /** Null of days away, which are of no machine. */
  restoration: { id: string; machine: string } | null;
  hours: number | null;
}

/** The work of one week: by hand, each in order of start, after the days that they are away. */
export const workIn = (loads: readonly HandLoadRow[], week: string): WorkOfWeek[] =>
  loads.flatMap(({ name, weeks }) => {
    const of = weeks.find(({ from }) => from === week);
    const away = (of?.away ?? []).map(({ from, to }) => ({
      title: `away ${from === to ? `on ${dateInFull(from)}` : `from ${dateInFull(from)} to ${dateInFull(to)}`}`,
      operation: null,
      restoration: null,
      hours: null,
    }));
    return [...away, ...(of?.work ?? [])].map((row, place) => ({
      ...row,
      key: `${name} ${place}`,
      name,
      again: place > 0,
    }));
  });

const GainsJobParts = graphql(`
  fragment GainsJobParts on Job @_unmask { id state stage done total problem { message } }
`);

const StartHandGains = graphql(
  `
  mutation StartHandGains($restoration: ID!) { started: startHandGains(restoration: $restoration) { ...GainsJobParts } }
`,
  [GainsJobParts],
);

const StopHandGains = graphql(
  `
  mutation StopHandGains($job: ID!) { stopJob(job: $job) { ...GainsJobParts } }
`,
  [GainsJobParts],
);

const GainsJobEvents = graphql(
  `
  subscription HandGainsJob($id: ID!) { job(id: $id) { ...GainsJobParts } }
`,
  [GainsJobParts],
);

const GainsJobNow = graphql(
  `
  query HandGainsJobNow($id: ID!) { job(id: $id) { ...GainsJobParts } }
`,
  [GainsJobParts],
);

export const HAND_GAINS = { start: StartHandGains, stop: StopHandGains, events: GainsJobEvents, now: GainsJobNow };
