import { useMemo } from "react";
import { graphql } from "../client.ts";
import { WeekFields } from "../hands/WeekFields.tsx";
import { useEveryPage } from "../shared/everyPage.ts";
import { DateField } from "../shared/Fields.tsx";
import { Form, useFormState } from "../shared/Form.tsx";
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
      shopDays { hoursOfHands }
      closedDates(first: $first, after: $after) {
        totalCount
        pageInfo { hasNextPage endCursor }
        edges { node { id date reason } }
      }
    }
  }
`);

/** Hours of each weekday, the dates on which the shop is closed, and the day that figures are for: every date that is computed stands on this, of all machines. */
export function ShopCalendar({ restoration, calendar }: { restoration: string; calendar: RestorationRow["calendar"] }) {
  const { save } = useSave();
  const variables = useMemo(() => ({ restoration }), [restoration]);
  const closed = useEveryPage(ClosedDatesQuery, variables, (data) => data.restoration.closedDates);
  const closedDates = useMemo(() => (closed.rows ?? []).map(({ date, reason }) => ({ date, reason })), [closed.rows]);
  if (!closed.rows || !closed.data)
    return closed.error ? (
      <Problem of={closed.error} what="the shop calendar" again={closed.again} />
    ) : (
      <Loading what="the calendar" />
    );
  const { id, revision, ...kept } = calendar;
  const { hoursOfHands } = closed.data.restoration.shopDays;
  return (
    <Form
      label="Shop calendar"
      saveLabel="Save the calendar"
      row={{ id, revision }}
      initial={{ ...kept, closedDates }}
      onSave={({ id: _id, revision: read, ...input }) =>
        save(SaveShopCalendar, { input: { ...input, revision: Number(read) } })
      }
    >
      <p className="prose">
        {hoursOfHands.some((hours) => hours > 0)
          ? "The shop's, for all its machines. Each hand works by their own hours: these count for what needs no hand, and as the opening; closed dates close for all."
          : "The shop's, for all its machines: a change here changes the dates of each."}
      </p>
      <WeekFields />
      <OpenAnyway byHands={hoursOfHands} />
      <YearStrip ofHands={hoursOfHands} />
      <ClosedDates />
      <FiguresFor />
    </Form>
  );
}

/** Another day that is looked at; blank follows today. */
function FiguresFor() {
  const form = useFormState();
  return (
    <div className="fields">
      <div className="with-button">
        <DateField
          name="figuresFor"
          label="Figures for"
          hint="Of all machines. Blank: always today. A date: that day only"
        />
        <button type="button" onClick={() => form.set("figuresFor", null)}>
          Follow today
        </button>
      </div>
    </div>
  );
}
