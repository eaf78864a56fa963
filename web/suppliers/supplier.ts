import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { RecordParts } from "./record.ts";
import { Deliveries } from "./SupplierSentence.tsx";

/** All of a supplier's own sheet. */
export const SupplierQuery = graphql(
  `
  query Supplier($restoration: ID!, $supplier: ID!, $quotes: Int, $afterQuotes: String, $orders: Int, $afterOrders: String) {
    supplier(id: $supplier) {
      id revision code name kind country email phone website notes
      carriage { minor currency decimals } minimum { minor currency decimals } shareBy
      quoteCount
      deliveries: orders(first: 500) { ...Deliveries }
      makerRecord(restoration: $restoration) { ...RecordParts }
      quotes(first: $quotes, after: $afterQuotes) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges {
          node {
            id code provenance chosen expired arrivalDate validUntil
            unitPrice { minor currency decimals }
            part { id code name restoration { id machine } }
          }
        }
      }
      orders(first: $orders, after: $afterOrders) {
        totalCount
        pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
        edges {
          node {
            id code state daysLate placedOn promisedOn arrivedOn fitRating
            total { minor currency decimals }
            part { id name restoration { id } }
          }
        }
      }
    }
  }
`,
  [Deliveries, RecordParts],
);

/** A supplier as the sheet shows it. */
export type Supplier = ResultOf<typeof SupplierQuery>["supplier"];
