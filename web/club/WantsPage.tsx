import { Link } from "react-router";
import { useQuery } from "urql";
import { addressOf } from "../shared/addresses.ts";
import { counted, dateInFull } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { Mark } from "../shared/Mark.tsx";
import { useSave } from "../shared/save.tsx";
import { useClub } from "./club.ts";
import { PartLists, type PartWords, usePartPages } from "./PartLists.tsx";
import { SaveWant, WantForm } from "./WantForm.tsx";
import { WantsQuery } from "./want.ts";

const WORDS: PartWords = {
  title: "Wants",
  noun: "want",
  sentence: (count) =>
    count === 0 ? "Nobody looks for a part at present." : `Members look for ${counted(count, "part")}.`,
  begin: "Say what you want",
  new: "A new want",
  own: "What you want",
  ownEmpty: "Nothing yet. Say what you look for, and a member who can let one go is matched with you.",
  all: "What members want",
  allEmpty: {
    title: "No member looks for a part",
    words: "What members say they want is listed here, the newest first.",
  },
  by: "Wanted by",
};

/** What members look for. */
export default function WantsPage() {
  const club = useClub();
  const pages = usePartPages();
  const { save, saving } = useSave();
  const [result, again] = useQuery({ query: WantsQuery, variables: pages.variables });
  const data = useKept(result.data, club.id);
  return (
    <PartLists
      words={WORDS}
      pages={pages}
      lists={
        data && {
          own: data.own,
          all: data.wants,
          nearest: data.nearest?.edges.map(({ node }) => node) ?? [],
          matches: data.matches.totalCount,
        }
      }
      error={result.error}
      again={() => again({ requestPolicy: "network-only" })}
      form={({ row, ...rest }) => <WantForm {...(row && { want: row })} {...rest} />}
      ownName={({ part, ownPart }) =>
        ownPart ? <Link to={addressOf.part(ownPart.restoration, ownPart.id)}>{part}</Link> : part
      }
      columns={[
        {
          id: "needBy",
          title: "Need-by",
          cell: ({ needBy }) => needBy && <span className="nowrap">{dateInFull(needBy)}</span>,
        },
      ]}
      when={({ needBy }) => needBy && `by ${dateInFull(needBy)}`}
      state={({ met }) =>
        met ? <Mark word="found" colour="verdigris" shape="full" /> : <Mark word="wanted" colour="ink" shape="empty" />
      }
      turn={{
        words: ({ met }) => (met ? "Want it again" : "I have it"),
        busy: saving,
        onTurn: ({ id, revision, met }) => void save(SaveWant, { input: { id, revision, met: !met } }),
      }}
    />
  );
}
