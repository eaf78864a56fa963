import { graphql } from "../client.ts";
import type { Choice } from "../shared/choice.ts";
import { ChoiceField, NumberField, TextField } from "../shared/Fields.tsx";
import { JudgedOn, useJudgingSections } from "../shared/JudgedOn.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { SaveParts, useSave } from "../shared/save.tsx";
import { type SharedField, Together, yesOrNo } from "../shared/Together.tsx";
import { choicesOf, STATE_ON_HAND } from "../shared/words.ts";
import { JudgedInSection } from "./Judged.tsx";

const ChangeParts = graphql(
  `
  mutation ChangeParts($rows: [ReadRow!]!, $input: PartsInput!) {
    changeParts(rows: $rows, input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

/** What is done with the parts that are chosen in the list. */
export function ChosenParts({ choice, page }: { choice: Choice; page: readonly string[] }) {
  const { save } = useSave();
  const { groups } = useRestoration();
  const sections = useJudgingSections();
  const fields: SharedField[] = [
    {
      name: "stateOnHand",
      label: "State on hand",
      field: <ChoiceField name="stateOnHand" label="State on hand" choices={choicesOf(STATE_ON_HAND)} />,
    },
    {
      name: "group",
      label: "Group",
      field: <TextField name="group" label="Group" hint="Blank: none" suggestions={groups} />,
    },
    { name: "quantity", label: "How many", field: <NumberField name="quantity" label="How many" whole /> },
    yesOrNo("safetyCritical", "Safety-critical"),
    yesOrNo("visible", "A judge sees it"),
    ...(sections.some(({ lines }) => lines.length > 0)
      ? [{ name: "judgingLine", label: "Judged on the line", field: <JudgedOn /> }]
      : []),
    ...(sections.length > 0
      ? [{ name: "judgingSection", label: "Judged in", field: <JudgedInSection sections={sections} /> }]
      : []),
    yesOrNo("kept", "The quote is decided", "Choosing for the whole machine then leaves the chosen quote alone."),
  ];
  return (
    <Together
      choice={choice}
      page={page}
      noun="part"
      removes="PART"
      fields={fields}
      onChange={(rows, input) => save(ChangeParts, { rows, input })}
    />
  );
}
