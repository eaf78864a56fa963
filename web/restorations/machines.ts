import { graphql } from "../client.ts";
import { EndMovedParts } from "../shared/endsMoved.tsx";
import { SaveParts } from "../shared/save.tsx";

export const MachinesQuery = graphql(`
  query Machines {
    machines(first: 100) {
      totalCount
      edges { node {
        notBefore
        restoration { id machine planRevision targetDate }
        completion { open dateWithOpenInHand daysLate }
      } }
    }
    shopLoad(first: 100) {
      edges { node { name weeks { from work { title hours operation { id } restoration { id machine } } } } }
    }
  }
`);

export const RankEffectQuery = graphql(
  `
  query RankEffect($order: [ID!]!) { rankEffect(order: $order) { ...EndMovedParts } }
`,
  [EndMovedParts],
);

export const RankMachines = graphql(
  `
  mutation RankMachines($order: [ID!]!) { rankMachines(order: $order) { __typename ...SaveParts } }
`,
  [SaveParts],
);
