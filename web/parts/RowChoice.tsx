import { type ReactNode, useState } from "react";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { codeInWords } from "../shared/Code.tsx";
import { ChoiceField } from "../shared/Fields.tsx";
import { SearchFilter } from "../shared/Filters.tsx";
import { useFieldValue } from "../shared/Form.tsx";
import { useRestoration } from "../shared/restoration.ts";

const OperationChoices = graphql(`
  query OperationChoices($restoration: ID!, $search: String) {
    restoration(id: $restoration) {
      id
      operations(first: 200, search: $search) { totalCount edges { node { id code title } } }
    }
  }
`);

const SupplierChoices = graphql(`
  query SupplierChoices($search: String) {
    suppliers(first: 200, search: $search) { totalCount edges { node { id code name } } }
  }
`);

interface Choice {
  value: string;
  label: string;
}

interface RowChoiceProps {
  name: string;
  label: string;
  hint?: ReactNode;
  none?: string;
  /** The row that stands there now, which a search may not find. */
  now?: Choice | null;
}

interface SearchedProps extends RowChoiceProps {
  choices: readonly Choice[];
  total: number;
  search: string | null;
  onSearch: (words: string | null) => void;
}

/** More than one page of rows: words to search for stand above the choice. */
function Searched({ choices, total, search, onSearch, now, ...props }: SearchedProps) {
  const value = useFieldValue(props.name);
  const [picked, setPicked] = useState(now ?? null);
  const kept = picked && picked.value === value && !choices.some((choice) => choice.value === value) ? [picked] : [];
  return (
    <>
      {(total > choices.length || search) && (
        <SearchFilter label={`Search: ${props.label}`} value={search} onChange={onSearch} />
      )}
      <ChoiceField
        {...props}
        choices={[...kept, ...choices]}
        onPick={(id) => setPicked(choices.find((choice) => choice.value === id) ?? null)}
      />
    </>
  );
}

/** One of the restoration's operations. */
export function OperationChoice(props: RowChoiceProps) {
  const restoration = useRestoration();
  const [search, setSearch] = useState<string | null>(null);
  const [{ data }] = useQuery({ query: OperationChoices, variables: { restoration: restoration.id, search } });
  const found = data?.restoration.operations;
  return (
    <Searched
      {...props}
      choices={
        found?.edges.map(({ node }) => ({
          value: node.id,
          label: `${codeInWords("operation", node.code)} ${node.title}`,
        })) ?? (props.now ? [props.now] : [])
      }
      total={found?.totalCount ?? 0}
      search={search}
      onSearch={setSearch}
    />
  );
}

/** One of the workshop's suppliers. */
export function SupplierChoice(props: RowChoiceProps) {
  const [search, setSearch] = useState<string | null>(null);
  const [{ data }] = useQuery({ query: SupplierChoices, variables: { search } });
  return (
    <Searched
      {...props}
      choices={
        data?.suppliers.edges.map(({ node }) => ({ value: node.id, label: node.name })) ??
        (props.now ? [props.now] : [])
      }
      total={data?.suppliers.totalCount ?? 0}
      search={search}
      onSearch={setSearch}
    />
  );
}
