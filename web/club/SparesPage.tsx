import { useQuery } from "urql";
import { counted, money } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { Mark } from "../shared/Mark.tsx";
import { useSave } from "../shared/save.tsx";
import { CONDITION, PROVENANCE } from "../shared/words.ts";
import { useClub } from "./club.ts";
import { PartLists, type PartWords, usePartPages } from "./PartLists.tsx";
import { PlanSpareForm } from "./PlanSpare.tsx";
import { SaveSpare, SpareForm } from "./SpareForm.tsx";
import { type Spare, SparesQuery } from "./want.ts";

const WORDS: PartWords = {
  title: "Spares",
  noun: "spare",
  sentence: (count) =>
    count === 0 ? "Nobody offers a spare at present." : `Members can let ${counted(count, "spare")} go.`,
  begin: "Offer a spare",
  new: "A new spare",
  own: "What you can let go",
  ownEmpty: "Nothing yet. Offer what you can let go, and a member who looks for one is matched with you.",
  all: "What members can let go",
  allEmpty: {
    title: "No member offers a spare",
    words: "What members can let go is listed here, the newest first.",
  },
  by: "Offered by",
};

const TAKE = {
  words: "Take it into my plan",
  form: (spare: Spare, onDone: () => void) => <PlanSpareForm spare={spare} onDone={onDone} />,
};

/** What members can let go. */
export default function SparesPage() {
  const club = useClub();
  const pages = usePartPages();
  const { save, saving } = useSave();
  const [result, again] = useQuery({ query: SparesQuery, variables: pages.variables });
  const data = useKept(result.data, club.id);
  return (
    <PartLists
      words={WORDS}
      pages={pages}
      lists={
        data && {
          own: data.own,
          all: data.spares,
          nearest: data.nearest?.edges.map(({ node }) => node) ?? [],
          matches: data.matches.totalCount,
        }
      }
      error={result.error}
      again={() => again({ requestPolicy: "network-only" })}
      form={({ row, ...rest }) => <SpareForm {...(row && { spare: row })} {...rest} />}
      columns={[
        {
          id: "state",
          title: "What it is",
          cell: ({ provenance, condition }) => `${PROVENANCE[provenance]}, ${CONDITION[condition]}`,
        },
        {
          id: "price",
          title: "Asked for one",
          numeric: true,
          cell: ({ price }) =>
            price ? <span className="money">{money(price)}</span> : <span className="soft">to be agreed</span>,
        },
      ]}
      when={({ price }) => price && money(price)}
      state={({ gone }) =>
        gone ? <Mark word="gone" colour="ink" shape="full" /> : <Mark word="on offer" colour="verdigris" shape="half" />
      }
      turn={{
        words: ({ gone }) => (gone ? "Offer it again" : "It is gone"),
        busy: saving,
        onTurn: ({ id, revision, gone }) => void save(SaveSpare, { input: { id, revision, gone: !gone } }),
      }}
      {...(club.restorer && { take: TAKE })}
    />
  );
}
