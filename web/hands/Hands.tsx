import { useMemo } from "react";
import { useEveryPage } from "../shared/everyPage.ts";
import { counted, dateInFull, listed } from "../shared/format.ts";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Loading, Problem } from "../shared/Page.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { Absences, spanWords } from "./Absences.tsx";
import { FirstHand } from "./FirstHand.tsx";
import { HandForm } from "./HandForm.tsx";
import { type Hand, HandsQuery, weekWords } from "./hand.ts";
import { SamePerson } from "./SamePerson.tsx";
import "./hands.css";

interface HandsProps {
  /** The restoration whose rate is asked for where nobody is entered yet. */
  row: { id: string; revision: number; hourlyRate: { minor: number } | null };
}

/** Who works in the workshop: trades, hours, absences. All its restorations go by them. */
export function Hands({ row }: HandsProps) {
  const { day } = useRestoration();
  const variables = useMemo(() => ({ from: day }), [day]);
  const { rows: hands, error, again } = useEveryPage(HandsQuery, variables, (data) => data.hands);
  const open = useOpen();
  if (!hands) return error ? <Problem of={error} what="the hands" again={again} /> : <Loading what="the hands" />;
  if (hands.length === 0)
    return (
      <>
        <p className="prose">Nobody is entered who works here. Three questions, and dates can go by real hands.</p>
        <FirstHand row={row} />
      </>
    );
  const people = hands.reduce((sum, hand) => sum + hand.people, 0);
  const others = (hand: Hand) => hands.filter(({ id, people: n }) => id !== hand.id && n === hand.people);
  const asked = hands.filter((hand) => hand.askSame && others(hand).length > 0);
  return (
    <>
      <p className="prose">
        {counted(people, "person works", "people work")} here. Hands belong to the workshop: all its restorations go by
        them.
      </p>
      {asked.length > 0 && (
        <p className="prose">
          <strong>{counted(asked.length, "line was", "lines were")} kept by trade.</strong> Of one trade in several
          restorations the largest was taken. Say which of them are one person: that person has one day for all trades.
        </p>
      )}
      <ul className="hands">
        {hands.map((hand) => (
          <li key={hand.id}>
            <div>
              <strong>{hand.name}</strong> {listed(hand.trades)}
              <Words hand={hand} />
            </div>
            <div className="row no-print">
              <OpenButton of={open} opens={`change ${hand.id}`}>
                Change<span className="unseen"> {hand.name}</span>
              </OpenButton>
              <OpenButton of={open} opens={`away ${hand.id}`}>
                Away<span className="unseen"> days of {hand.name}</span>
              </OpenButton>
              <RemoveButton row="HAND" id={hand.id} revision={hand.revision} what={hand.name} />
            </div>
            {asked.includes(hand) && <SamePerson hand={hand} others={others(hand)} />}
            {open.has(`change ${hand.id}`) && (
              <Opened>
                <HandForm hand={hand} onDone={() => open.close(`change ${hand.id}`)} />
              </Opened>
            )}
            {open.has(`away ${hand.id}`) && (
              <Opened>
                <Absences hand={hand} onDone={() => open.close(`away ${hand.id}`)} />
              </Opened>
            )}
          </li>
        ))}
      </ul>
      <div className="no-print">
        <OpenButton of={open} opens="new">
          Add a hand
        </OpenButton>
      </div>
      {open.has("new") && (
        <Opened>
          <HandForm onDone={() => open.close("new")} />
        </Opened>
      )}
    </>
  );
}

/** Hours, from when to when, absences to come, and whose account it is. */
function Words({ hand }: { hand: Hand }) {
  const { people, joinsOn, leavesOn, absences, account } = hand;
  const away = absences.edges.map(({ node }) => spanWords(node));
  const more = absences.totalCount - away.length;
  return (
    <div className="soft">
      {people > 1 && `${people} people, each `}
      {weekWords(hand)}
      {joinsOn && `; joins on ${dateInFull(joinsOn)}`}
      {leavesOn && `; leaves on ${dateInFull(leavesOn)}`}
      {away.length > 0 && `; away ${away.join(", ")}${more > 0 ? ` and ${more} more` : ""}`}
      {account && `; account ${account.name}`}
    </div>
  );
}
