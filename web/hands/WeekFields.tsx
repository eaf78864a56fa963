import { NumberField } from "../shared/Fields.tsx";
import { WEEKDAYS } from "../shared/weekdays.ts";

/** Hours of each weekday. */
export function WeekFields() {
  return (
    <div className="fields week">
      {WEEKDAYS.map((day) => (
        <NumberField key={day} name={day} label={`${day[0]?.toUpperCase()}${day.slice(1)}`} unit="h" />
      ))}
    </div>
  );
}
