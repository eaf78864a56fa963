import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { SaveParts } from "../shared/save.tsx";

export const RestorationQuery = graphql(`
  query RestorationSheet($restoration: ID!) {
    restoration(id: $restoration) {
      id revision machine owner description targetName targetDate figuresFor currency confidence customsBasis carriageTaxed
      cap { minor currency decimals }
      capCoversLabour
      hourlyRate { minor currency decimals }
      countOwnHours
      consentOver { minor currency decimals }
      pricePerDay { minor currency decimals }
      pricePerPoint { minor currency decimals }
      pointStep
      calendar { id revision monday tuesday wednesday thursday friday saturday sunday figuresFor }
      tradeRates { id revision trade rate { minor currency decimals } }
      judgingSheet {
        maximum
        sections {
          id revision name maximum cap position deductions { provenance points }
          lines { id title maximum mandatory disqualifying position }
        }
        floors { id revision award points }
      }
    }
  }
`);

export type RestorationRow = ResultOf<typeof RestorationQuery>["restoration"];
export type JudgingSectionRow = RestorationRow["judgingSheet"]["sections"][number];

/** What duty is on. */
export const CUSTOMS_BASIS = {
  CIF: "the goods with carriage and insurance",
  FOB: "the goods as loaded abroad",
} as const;

export const SaveRestoration = graphql(
  `
  mutation SaveRestorationSheet($input: RestorationInput!) {
    saveRestoration(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const SaveShopCalendar = graphql(
  `
  mutation SaveShopCalendar($input: ShopCalendarInput!) {
    saveShopCalendar(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const SaveTradeRate = graphql(
  `
  mutation SaveTradeRate($input: TradeRateInput!) {
    saveTradeRate(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const SaveJudgingSection = graphql(
  `
  mutation SaveJudgingSection($input: JudgingSectionInput!) {
    saveJudgingSection(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

export const SaveAwardFloor = graphql(
  `
  mutation SaveAwardFloor($input: AwardFloorInput!) {
    saveAwardFloor(input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);
