import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { PaymentParts } from "../parts/part.ts";
import { OptionCostParts } from "../shared/optionCost.tsx";

export const OperationQuery = graphql(
  `
  query OperationPage($operation: ID!) {
    operation(id: $operation) {
      id revision code title trade group state hoursLeast hoursLikely hoursMost remainingHours startedOn finishedOn notes
      hands alsoTrades first mayBePutDown notBefore
      judgingLine { id }
      restoration { id }
      schedule {
        critical earlyStartDate earlyFinishDate lateFinishDate totalFloat freeFloat floatToTarget drag waitsForOpen lacking cleared hands putDownUntil putDownFor
      }
      linksBefore { id revision lag lagUnit before { id code title state schedule { earlyFinishDate } } after { id } }
      linksAfter { id revision lag lagUnit before { id } after { id code title state schedule { earlyStartDate } } }
      needs {
        id revision quantity
        part {
          id code name stateOnHand safetyCritical caution
          outlook { state quote { id supplier { id kind } } arrivalDate }
          inspections { id revision inspector inspectedOn what }
        }
      }
      chosenWay { id }
      ownCost { ...OptionCostParts }
      ways {
        id revision code title hours days points chosen
        price { minor currency decimals }
        cost { ...OptionCostParts }
        supplier { id code name kind }
        payments { ...PaymentParts }
      }
      snags { id code title foundOn clearedOn chosenRemedy { id title } }
    }
  }
`,
  [OptionCostParts, PaymentParts],
);

/** An operation as its page shows it. */
export type OperationOnPage = ResultOf<typeof OperationQuery>["operation"];
export type NeedOnPage = OperationOnPage["needs"][number];
