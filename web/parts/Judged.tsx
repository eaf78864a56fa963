import { ChoiceField } from "../shared/Fields.tsx";
import { useFieldOfForm, useFieldValue } from "../shared/Form.tsx";
import { JudgedOn, useJudgingSections } from "../shared/JudgedOn.tsx";
import { choicesOf, PROVENANCE } from "../shared/words.ts";

/** The line of the judging sheet on which the part is judged, or else the section. */
export function JudgedIn() {
  const sections = useJudgingSections();
  const line = useFieldValue("judgingLine");
  return (
    <>
      <JudgedOn />
      {line === null && (
        <ChoiceField
          name="judgingSection"
          label="Judged in"
          none="the section of its own name"
          choices={sections.map(({ id, name }) => ({ value: id, label: name }))}
        />
      )}
    </>
  );
}

/** Provenances that are not wanted for the part: such a quote is never chosen. */
export function Bans() {
  const form = useFieldOfForm("bans", { label: "Not wanted here" });
  const barred = (form.value("bans") as readonly string[] | undefined) ?? [];
  const faults = form.faults("bans");
  return (
    <fieldset className="bans" aria-describedby={faults.length > 0 ? `${form.id}-bans-fault` : undefined}>
      <legend>Not wanted here</legend>
      {choicesOf(PROVENANCE).map(({ value, label }) => (
        <div className="field check" key={value}>
          <input
            id={`${form.id}-ban-${value}`}
            type="checkbox"
            checked={barred.includes(value)}
            onChange={(event) =>
              form.set("bans", event.target.checked ? [...barred, value] : barred.filter((other) => other !== value))
            }
          />
          <label htmlFor={`${form.id}-ban-${value}`}>{label}</label>
        </div>
      ))}
      {faults.length > 0 && (
        <span className="fault" id={`${form.id}-bans-fault`}>
          {faults.join(" ")}
        </span>
      )}
    </fieldset>
  );
}
