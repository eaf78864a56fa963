import { graphql } from "../client.ts";
import type { Choice } from "../shared/choice.ts";
import { ChoiceField, DateField, NumberField, TextField } from "../shared/Fields.tsx";
import { useFieldValue } from "../shared/Form.tsx";
import { JudgedOn, useJudgingSections } from "../shared/JudgedOn.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { SaveParts, useSave } from "../shared/save.tsx";
import { type SharedField, Together, yesOrNo } from "../shared/Together.tsx";
import { choicesOf, OPERATION_STATE } from "../shared/words.ts";

const ChangeOperations = graphql(
  `
  mutation ChangeOperations($rows: [ReadRow!]!, $input: OperationsInput!) {
    changeOperations(rows: $rows, input: $input) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

/** What is done with the operations that are chosen in the list. */
export function ChosenOperations({ choice, page }: { choice: Choice; page: readonly string[] }) {
  const { save } = useSave();
  const { groups, trades } = useRestoration();
  const sections = useJudgingSections();
  const fields: SharedField[] = [
    {
      name: "state",
      label: "State",
      field: <StateWithDates />,
      input: ({ state, startedOn, finishedOn }) => ({
        state,
        // A day that is not said stays as each has it, but work that is not begun has none.
        ...(state === "NOT_STARTED" ? { startedOn: null } : startedOn ? { startedOn } : {}),
        ...(state === "DONE" ? (finishedOn ? { finishedOn } : {}) : { finishedOn: null }),
      }),
    },
    {
      name: "trade",
      label: "Trade",
      field: <TextField name="trade" label="Trade" hint="Blank: none" suggestions={trades} />,
    },
    {
      name: "group",
      label: "Group",
      field: <TextField name="group" label="Group" hint="Blank: none" suggestions={groups} />,
    },
    {
      name: "hands",
      label: "Hands",
      field: <NumberField name="hands" label="Hands" hint="Of its trade, for the whole of its hours" whole />,
    },
    {
      name: "notBefore",
      label: "Not before",
      field: <DateField name="notBefore" label="Not before" hint="Blank: as soon as it can be" />,
    },
    yesOrNo("first", "Do this first"),
    yesOrNo("mayBePutDown", "May be put down"),
    ...(sections.some(({ lines }) => lines.length > 0)
      ? [{ name: "judgingLine", label: "Judged on the line", field: <JudgedOn /> }]
      : []),
  ];
  return (
    <Together
      choice={choice}
      page={page}
      noun="operation"
      removes="OPERATION"
      fields={fields}
      onChange={(rows, input) => save(ChangeOperations, { rows, input })}
    />
  );
}

function StateWithDates() {
  const state = useFieldValue("state");
  const begun = state === "UNDER_WAY" || state === "DONE";
  return (
    <>
      <ChoiceField name="state" label="State" choices={choicesOf(OPERATION_STATE)} />
      {begun && <DateField name="startedOn" label="Started on" hint="Blank: as each has it" />}
      {state === "DONE" && <DateField name="finishedOn" label="Finished on" hint="Blank: as each has it" />}
    </>
  );
}
