import { graphql } from "../client.ts";
import { EndMovedParts } from "../shared/endsMoved.tsx";
import { SaveParts } from "../shared/save.tsx";

const OrderJobParts = graphql(
  `
  fragment OrderJobParts on Job @_unmask {
    id state stage done total
    problem { message }
    orderOfWork { sooner isKept stale ends { ...EndMovedParts } }
  }
`,
  [EndMovedParts],
);

const StartOrderOfWork = graphql(
  `
  mutation StartOrderOfWork($restoration: ID!) { started: startOrderOfWork(restoration: $restoration) { ...OrderJobParts } }
`,
  [OrderJobParts],
);

const StopOrderOfWork = graphql(
  `
  mutation StopOrderOfWork($job: ID!) { stopJob(job: $job) { ...OrderJobParts } }
`,
  [OrderJobParts],
);

const OrderJobEvents = graphql(
  `
  subscription OrderOfWorkJob($id: ID!) { job(id: $id) { ...OrderJobParts } }
`,
  [OrderJobParts],
);

const OrderJobNow = graphql(
  `
  query OrderOfWorkJobNow($id: ID!) { job(id: $id) { ...OrderJobParts } }
`,
  [OrderJobParts],
);

export const ORDER_OF_WORK = {
  start: StartOrderOfWork,
  stop: StopOrderOfWork,
  events: OrderJobEvents,
  now: OrderJobNow,
};

export const DropOrderOfWork = graphql(
  `
  mutation DropOrderOfWork { dropOrderOfWork { __typename ...SaveParts } }
`,
  [SaveParts],
);

export const KeepOrderOfWork = graphql(
  `
  mutation KeepOrderOfWork($job: ID!) { keepOrderOfWork(job: $job) { __typename ...SaveParts } }
`,
  [SaveParts],
);
