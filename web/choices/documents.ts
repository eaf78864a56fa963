import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { EffectParts } from "../shared/effect.ts";
import { OptionCostParts } from "../shared/optionCost.tsx";
import { SaveParts } from "../shared/save.tsx";

export const ChoicesJobParts = graphql(`
  fragment ChoicesJobParts on Job @_unmask {
    id state stage done total
    problem { message }
  }
`);

export const StartChoices = graphql(
  `
  mutation StartChoices($restoration: ID!) { started: startChoices(restoration: $restoration) { ...ChoicesJobParts } }
`,
  [ChoicesJobParts],
);

export const StartPlanOdds = graphql(
  `
  mutation StartPlanOdds($job: ID!, $plans: [Int!]!) {
    started: startPlanOdds(job: $job, plans: $plans) { ...ChoicesJobParts }
  }
`,
  [ChoicesJobParts],
);

export const StopChoices = graphql(
  `
  mutation StopChoices($job: ID!) { stopJob(job: $job) { ...ChoicesJobParts } }
`,
  [ChoicesJobParts],
);

export const ChoicesJobEvents = graphql(
  `
  subscription ChoicesJob($id: ID!) { job(id: $id) { ...ChoicesJobParts } }
`,
  [ChoicesJobParts],
);

export const ChoicesJobNow = graphql(
  `
  query ChoicesJobNow($id: ID!) { job(id: $id) { ...ChoicesJobParts } }
`,
  [ChoicesJobParts],
);

const PlanParts = graphql(`
  fragment PlanParts on ChoicePlan @_unmask {
    id number date daysLate pointsLost award disqualified
    odds { evenOdds fourInFive onTarget }
    cost { minor currency decimals }
    counted { minor currency decimals }
    differences(first: 0) { totalCount }
  }
`);

/** All plans with what they are measured by; the revision is asked for so that every change reads it anew. */
export const PlansQuery = graphql(
  `
  query Plans($job: ID!, $first: Int, $after: String) {
    job(id: $job) {
      id
      choices {
        restoration { id planRevision }
        stale targetDate lacking cleared
        open { title part { id } snag { id } }
        cap { minor currency decimals }
        committed { minor currency decimals }
        heldBack { minor currency decimals }
        capLeft { minor currency decimals }
        daysToBound
        inForce {
          date daysLate pointsLost award disqualified
          odds { evenOdds fourInFive onTarget }
          cost { minor currency decimals } landed { minor currency decimals } counted { minor currency decimals }
        }
        answers {
          cheapestByTarget { words plan { number } misses { limit alone withOthers } }
          earliestWithinCap { words plan { number } misses { limit alone withOthers } }
          mostPointsWithinBoth { words plan { number } misses { limit alone withOthers } }
          bestByWorth { words plan { number } }
        }
        notices(first: 20) { totalCount edges { node { row message } } }
        plans(first: $first, after: $after) {
          totalCount
          pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
          edges { node { ...PlanParts } }
        }
      }
    }
  }
`,
  [PlanParts],
);

export const PlanQuery = graphql(
  `
  query Plan($job: ID!, $plan: Int!, $first: Int, $after: String) {
    job(id: $job) {
      id
      choices {
        restoration { id }
        plan(number: $plan) {
          ...PlanParts
          hours decides
          landed { minor currency decimals }
          charged { minor currency decimals }
          labour { minor currency decimals }
          changes: differences(first: $first, after: $after) {
            totalCount
            pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
            edges { node {
              kind code title pointsChange
              part { id } snag { id } operation { id }
              costChange { minor currency decimals }
              from { code words pointsLost cost { ...OptionCostParts } quote { id provenance leadDays } }
              to { code words pointsLost cost { ...OptionCostParts } quote { id provenance leadDays } }
            } }
          }
        }
      }
    }
  }
`,
  [PlanParts, OptionCostParts],
);

/** What taking a plan does, or only these of its changes. */
export const PlanEffectQuery = graphql(
  `
  query PlanEffect($job: ID!, $plan: Int!, $only: [ID!]) {
    job(id: $job) { id choices { restoration { id } plan(number: $plan) { id effect(only: $only) { ...EffectParts } } } }
  }
`,
  [EffectParts],
);

export const TakePlan = graphql(
  `
  mutation TakePlan($job: ID!, $plan: Int!, $only: [ID!]) {
    takePlan(job: $job, plan: $plan, only: $only) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

/** Parts that take part in a choice, with what keeps them out of it. */
export const SettledQuery = graphql(`
  query SettledParts($restoration: ID!, $notOrdered: [SupplyState!], $first: Int, $after: String) {
    restoration(id: $restoration) {
      id
      parts(first: $first, after: $after, state: $notOrdered) {
        totalCount
        pageInfo { hasNextPage endCursor }
        edges { node { id code name kept ruledOut quotes { id code ruledOut supplier { name } } } }
      }
    }
  }
`);

export type ChoicesJob = ResultOf<typeof ChoicesJobParts>;
export type ChoicesFound = NonNullable<ResultOf<typeof PlansQuery>["job"]["choices"]>;
export type PlanRow = ChoicesFound["plans"]["edges"][number]["node"];
export type PlanChosen = NonNullable<NonNullable<ResultOf<typeof PlanQuery>["job"]["choices"]>["plan"]>;
export type Difference = PlanChosen["changes"]["edges"][number]["node"];
