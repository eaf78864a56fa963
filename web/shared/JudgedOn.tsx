import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { ChoiceField } from "./Fields.tsx";
import { useRestoration } from "./restoration.ts";

const JudgingSections = graphql(`
  query JudgingSections($restoration: ID!) {
    restoration(id: $restoration) { id judgingSheet { sections { id name lines { id title mandatory disqualifying } } } }
  }
`);

/** The sections of the restoration's judging sheet with their lines; none while they are read. */
export function useJudgingSections() {
  const { id } = useRestoration();
  const [{ data }] = useQuery({ query: JudgingSections, variables: { restoration: id } });
  return data?.restoration.judgingSheet.sections ?? [];
}

/** The line of the judging sheet on which points are lost. Where the sheet has none, there is nothing to choose. */
export function JudgedOn({ hint }: { hint?: string }) {
  const sections = useJudgingSections();
  const choices = sections.flatMap(({ name, lines }) =>
    lines.map(({ id, title, mandatory, disqualifying }) => ({
      value: id,
      label: `${name}: ${title}${mandatory ? " (lost whole)" : ""}${disqualifying ? " (leaves no award)" : ""}`,
    })),
  );
  if (choices.length === 0) return null;
  return (
    <ChoiceField
      name="judgingLine"
      label="Judged on the line"
      none="no line of its section"
      {...(hint === undefined ? {} : { hint })}
      choices={choices}
    />
  );
}
