import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { counted } from "../shared/format.ts";
import { Loading, Problem } from "../shared/Page.tsx";
import { SaveParts, useSave } from "../shared/save.tsx";

const SamplesQuery = graphql(`
  query SampleJudgingSheets($restoration: ID!) {
    restoration(id: $restoration) {
      id
      sampleJudgingSheets { name description maximum }
    }
  }
`);

const TakeSample = graphql(
  `
  mutation TakeSampleJudgingSheet($restoration: ID!, $name: String!) {
    takeSampleJudgingSheet(restoration: $restoration, name: $name) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

interface SampleSheetsProps {
  restoration: string;
  /** A sheet stands already, and would give way. */
  replaces: boolean;
  onDone: () => void;
}

/** Invented sheets to begin with: one is taken whole in the place of the restoration's own. */
export function SampleSheets({ restoration, replaces, onDone }: SampleSheetsProps) {
  const [result, again] = useQuery({ query: SamplesQuery, variables: { restoration } });
  const { save, saving } = useSave();
  const samples = result.data?.restoration.sampleJudgingSheets;
  if (!samples)
    return result.error ? (
      <Problem of={result.error} what="the sample sheets" again={() => again({ requestPolicy: "network-only" })} />
    ) : (
      <Loading what="the sample sheets" />
    );
  const take = async (name: string) => {
    const outcome = await save(TakeSample, { restoration, name });
    if (outcome.kind === "saved") onDone();
  };
  return (
    <section className="samples no-print" aria-label="Sample sheets">
      <p className="prose">
        {replaces
          ? "A sample takes the place of the sheet that is entered here, sections, lines and awards; Undo brings that back."
          : "A sample is a beginning: change every figure of it to your own club's."}
      </p>
      <ul>
        {samples.map(({ name, description, maximum }) => (
          <li key={name}>
            <span>
              <strong>{name}</strong> <span className="soft">{counted(maximum, "point")}</span>
            </span>
            <button type="button" disabled={saving} onClick={() => void take(name)}>
              Take it<span className="unseen"> {name}</span>
            </button>
            <span className="block soft">{description}</span>
          </li>
        ))}
      </ul>
      <button type="button" onClick={onDone}>
        Leave it
      </button>
    </section>
  );
}
