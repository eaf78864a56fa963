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
      {line === null && <JudgedInSection sections={sections} />}
    </>
  );
}

export const JudgedInSection = ({ sections }: { sections: readonly { id: string; name: string }[] }) => (
  <ChoiceField
    name="judgingSection"
    label="Judged in"
    none="the section named like its group"
    choices={sections.map(({ id, name }) => ({ value: id, label: name }))}
  />
);

/** Provenances that are ruled out for the part: such a quote is never chosen. */
export function RuledOutKinds() {
  const form = useFieldOfForm("ruledOut", { label: "Ruled out here" });
  const isRuledOut = (form.value("ruledOut") as readonly string[] | undefined) ?? [];
  const faults = form.faults("ruledOut");
  return (
    <fieldset className="ruledOut" aria-describedby={faults.length > 0 ? `${form.id}-ruledOut-fault` : undefined}>
      <legend>Ruled out here</legend>
      {choicesOf(PROVENANCE).map(({ value, label }) => (
        <div className="field check" key={value}>
          <input
            id={`${form.id}-ban-${value}`}
            type="checkbox"
            checked={isRuledOut.includes(value)}
            onChange={(event) =>
              form.set(
                "ruledOut",
                event.target.checked ? [...isRuledOut, value] : isRuledOut.filter((other) => other !== value),
              )
            }
          />
          <label htmlFor={`${form.id}-ban-${value}`}>{label}</label>
        </div>
      ))}
      {faults.length > 0 && (
        <span className="fault" id={`${form.id}-ruledOut-fault`}>
          {faults.join(" ")}
        </span>
      )}
    </fieldset>
  );
}
