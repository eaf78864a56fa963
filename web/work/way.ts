import { graphql } from "../client.ts";
import { SaveParts } from "../shared/save.tsx";
import type { OperationOnPage } from "./operation.ts";

export type WayOnPage = OperationOnPage["ways"][number];

export const SaveWay = graphql(
  `
  mutation SaveWay($input: OperationWayInput!) {
    saveOperationWay(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

/** way null: the operation is done as it says itself. revision is the operation's. */
export const ChooseWay = graphql(
  `
  mutation ChooseWay($operation: ID!, $way: ID, $revision: Int!) {
    chooseWay(operation: $operation, way: $way, revision: $revision) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);
