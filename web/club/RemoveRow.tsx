import type { TadaDocumentNode } from "gql.tada";
import { graphql } from "../client.ts";
import { SaveParts, useSave } from "../shared/save.tsx";

type Noun = "source" | "want" | "spare" | "batch";

const MUTATIONS: Record<Noun, TadaDocumentNode<unknown, { id: string; revision: number }>> = {
  source: graphql(
    `
    mutation RemoveClubSource($id: ID!, $revision: Int!) {
      removeClubSource(id: $id, revision: $revision) { __typename ...SaveParts }
    }
  `,
    [SaveParts],
  ),
  want: graphql(
    `
    mutation RemoveWant($id: ID!, $revision: Int!) {
      removeWant(id: $id, revision: $revision) { __typename ...SaveParts }
    }
  `,
    [SaveParts],
  ),
  spare: graphql(
    `
    mutation RemoveSpare($id: ID!, $revision: Int!) {
      removeSpare(id: $id, revision: $revision) { __typename ...SaveParts }
    }
  `,
    [SaveParts],
  ),
  batch: graphql(
    `
    mutation RemoveBatch($id: ID!, $revision: Int!) {
      removeBatch(id: $id, revision: $revision) { __typename ...SaveParts }
    }
  `,
    [SaveParts],
  ),
};

interface RemoveRowProps {
  noun: Noun;
  row: { id: string; revision: number };
  /** What goes: "source S-4". */
  what: string;
  onRemoved?: () => void;
}

/** Takes an own row out of the club; undo brings it back. */
export function RemoveRow({ noun, row, what, onRemoved }: RemoveRowProps) {
  const { save, saving } = useSave();
  const remove = async () => {
    const outcome = await save(MUTATIONS[noun], { id: row.id, revision: row.revision });
    if (outcome.kind === "saved") onRemoved?.();
  };
  return (
    <button type="button" className="remove" disabled={saving} onClick={() => void remove()}>
      Remove<span className="unseen"> {what}</span>
    </button>
  );
}
