import { useMemo } from "react";
import { graphql } from "../client.ts";
import { WeekFields } from "../hands/WeekFields.tsx";
import { useEveryPage } from "../shared/everyPage.ts";
import { Form } from "../shared/Form.tsx";
import { Loading, Problem } from "../shared/Page.tsx";
import { useSave } from "../shared/save.tsx";
import { ClosedDates } from "./ClosedDates.tsx";
import { OpenAnyway } from "./OpenAnyway.tsx";
import { type RestorationRow, SaveShopCalendar } from "./restorationRow.ts";
import { YearStrip } from "./YearStrip.tsx";

const ClosedDatesQuery = graphql(`
  query ClosedDates($restoration: ID!, $first: Int, $after: String) {
    restoration(id: $restoration) {
      id
      closedDates(first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage endCursor }
        edges { node { id date reason } }
      }
    }
  }
`);

const ShopDaysQuery = graphql(`
  query ShopDays($restoration: ID!, $first: Int, $after: String) {
    restoration(id: $restoration) {
      id
      shopDays {
        hoursOfOthers
        closedDates(first: $first, after: $after) {
          totalCount
          pageInfo { hasNextPage endCursor }
          edges { node { date reason enteredWith { id machine } } }
        }
      }
    }
  }
`);

/** Hours of each weekday and the dates on which the shop is closed: every date that is computed stands on this. */
export function ShopCalendar({ restoration, calendar }: { restoration: string; calendar: RestorationRow["calendar"] }) {
  const { save } = useSave();
  const variables = useMemo(() => ({ restoration }), [restoration]);
  const closed = useEveryPage(ClosedDatesQuery, variables, (data) => data.restoration.closedDates);
  const closedDates = useMemo(() => (closed.rows ?? []).map(({ date, reason }) => ({ date, reason })), [closed.rows]);
  const shop = useEveryPage(ShopDaysQuery, variables, (data) => data.restoration.shopDays.closedDates);
  const elsewhere = useMemo(
    () => shop.rows?.filter(({ enteredWith }) => enteredWith?.id !== restoration),
    [shop.rows, restoration],
  );
  const error = closed.error ?? shop.error;
  if (!closed.rows || !elsewhere || !shop.data)
    return error ? (
      <Problem
        of={error}
        what="the shop calendar"
        again={() => {
          closed.again();
          shop.again();
        }}
      />
    ) : (
      <Loading what="the calendar" />
    );
  const { monday, tuesday, wednesday, thursday, friday, saturday, sunday } = calendar;
  return (
    <Form
      label="Shop calendar"
      saveLabel="Save the calendar"
      row={{ id: calendar.id, revision: calendar.revision }}
      initial={{ monday, tuesday, wednesday, thursday, friday, saturday, sunday, closedDates }}
      onSave={({ id: _id, revision, ...input }) =>
        save(SaveShopCalendar, { input: { ...input, restoration, revision: Number(revision) } })
      }
    >
      <WeekFields />
      <OpenAnyway byOthers={shop.data.restoration.shopDays.hoursOfOthers} />
      <YearStrip ofOthers={shop.data.restoration.shopDays.hoursOfOthers} elsewhere={elsewhere} />
      <ClosedDates elsewhere={elsewhere} />
    </Form>
  );
}
