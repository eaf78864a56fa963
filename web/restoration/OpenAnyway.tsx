import { useFormState } from "../shared/Form.tsx";
import { listed } from "../shared/format.ts";
import { WEEKDAYS } from "../shared/weekdays.ts";

/** Days that are cleared in the form and on which the plan works all the same. */
export function OpenAnyway({ byHands }: { byHands: readonly number[] }) {
  const form = useFormState();
  const open = WEEKDAYS.filter((day, at) => Number(form.value(day) ?? 0) === 0 && (byHands[at] ?? 0) > 0);
  if (open.length === 0) return null;
  const names = open.map((day) => `${day[0]!.toUpperCase()}${day.slice(1)}`);
  return (
    <p className="prose" role="status">
      {listed(names)} {open.length === 1 ? "stays" : "stay"} open: a hand has hours then. To close the shop, clear{" "}
      {open.length === 1 ? "it" : "them"} there too.
    </p>
  );
}
