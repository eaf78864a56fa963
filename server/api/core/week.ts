/** Hours of each weekday, in rows and in inputs. */
import { WEEK } from "../../io/columns.ts";

type Weekday = (typeof WEEK)[number];

/** A field for each weekday. */
export const eachWeekday = <Field>(field: (day: Weekday) => Field): Record<Weekday, Field> =>
  Object.fromEntries(WEEK.map((day) => [day, field(day)])) as Record<Weekday, Field>;
