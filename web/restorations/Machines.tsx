import { Fragment, useState } from "react";
import { Link } from "react-router";
import { useQuery } from "urql";
import { addressOf } from "../shared/addresses.ts";
import { EndsMoved } from "../shared/endsMoved.tsx";
import { dateInFull, hours, lateBy } from "../shared/format.ts";
import { Loading, Problem, Section } from "../shared/Page.tsx";
import { useSave } from "../shared/save.tsx";
import { Table } from "../shared/Table.tsx";
import { HIGHER_RANK } from "../shared/words.ts";
import "./machines.css";
import { MachinesQuery, RankEffectQuery, RankMachines } from "./machines.ts";

interface Ranked {
  place: number;
  id: string;
  machine: string;
  end: string;
}
/** The machines that the same hands work on: in what order, when each ends, and who works on what this week and next. */
export function Machines({ of }: { of: number }) {
  const [result, again] = useQuery({ query: MachinesQuery });
  const [asked, ask] = useState<string | null>(null);
  const machines = result.data?.machines.edges.map(({ node }) => node) ?? [];
  const loads = result.data?.shopLoad.edges.map(({ node }) => node) ?? [];
  // Without hands, or with one machine, there is nothing to put in order.
  if (result.data && (machines.length < 2 || loads.length === 0)) return null;
  const ids = machines.map(({ restoration }) => restoration.id);
  const rows = machines.map(({ restoration: { id, machine }, completion }, i): Ranked => {
    const late = completion?.daysLate ?? null;
    const end = completion
      ? `${dateInFull(completion.dateWithOpenInHand)}${completion.open ? " once what is open is in hand" : ""}${late !== null && late > 0 ? `, ${lateBy(late)}` : ""}`
      : "no plan can be made of its work";
    return { place: i + 1, id, machine, end };
  });
  const weeks = loads[0]?.weeks.slice(0, 2) ?? [];
  return (
    <>
      <Section id="in-order" title="In what order the shop does them">
        {result.error && !result.data ? (
          <Problem of={result.error} what="the machines" again={() => again({ requestPolicy: "network-only" })} />
        ) : !result.data ? (
          <Loading what="the machines" />
        ) : (
          <>
            <p className="prose soft">
              {HIGHER_RANK} Ends and weeks are as quoted, on the hands of the shop, with all orders that are still to be
              placed going out at once.{machines.length < of && " A machine without work to do has no rank."}
            </p>
            <Table
              caption="Machines by rank"
              rows={rows}
              rowKey={({ id }) => id}
              copy={false}
              // The answer stands under the button that was pressed.
              below={({ id, place }) =>
                id === asked && <Effect order={raised(ids, place - 1)} leave={() => ask(null)} />
              }
              columns={[
                { id: "place", title: "Rank", numeric: true, cell: ({ place }) => String(place) },
                {
                  id: "machine",
                  title: "Machine",
                  lead: true,
                  cell: ({ id, machine }) => <Link to={addressOf.holdUps(id)}>{machine}</Link>,
                },
                { id: "end", title: "Ends", cell: ({ end }) => end },
                {
                  id: "move",
                  title: "Order",
                  cell: ({ place, id, machine }) =>
                    place > 1 && (
                      <button type="button" onClick={() => ask(id)}>
                        Move up<span className="unseen"> {machine}</span>
                      </button>
                    ),
                },
              ]}
            />
          </>
        )}
      </Section>
      {weeks.map(({ from }, i) => (
        <Section key={from} id={`week-${i}`} title={`${i === 0 ? "This week" : "Next week"}, from ${dateInFull(from)}`}>
          <dl className="week-of-hands">
            {loads.map(({ name, weeks: all }) => (
              <Fragment key={name}>
                <dt>{name}</dt>
                <dd>
                  {all[i]?.work.length === 0 && <span className="soft">nothing in the schedule</span>}
                  <ul>
                    {all[i]?.work.map((task) => (
                      <li key={`${task.restoration.id} ${task.title}`}>
                        {task.operation ? (
                          <Link to={addressOf.operation(task.restoration.id, task.operation.id)}>{task.title}</Link>
                        ) : (
                          task.title
                        )}{" "}
                        <span className="soft">
                          {hours(task.hours)}, {task.restoration.machine}
                        </span>
                      </li>
                    ))}
                  </ul>
                </dd>
              </Fragment>
            ))}
          </dl>
        </Section>
      ))}
    </>
  );
}

/** The order with the machine at a place before the one above it. */
const raised = (ids: readonly string[], place: number): string[] => {
  const order = [...ids];
  const [moved] = order.splice(place, 1);
  order.splice(place - 1, 0, moved!);
  return order;
};

/** What the order changes, before it is made. */
function Effect({ order, leave }: { order: readonly string[]; leave: () => void }) {
  const [{ data, error }, again] = useQuery({ query: RankEffectQuery, variables: { order: [...order] } });
  const { save, saving } = useSave();
  if (error)
    return <Problem of={error} what="what that changes" again={() => again({ requestPolicy: "network-only" })} />;
  if (!data) return <Loading what="what that changes" />;
  return (
    <div className="state" role="status">
      <p>In that order they would end as follows; the money, the hours at the bench and the points stay as they are:</p>
      <EndsMoved ends={data.rankEffect} />
      <div className="row">
        <button
          type="button"
          className="main"
          disabled={saving}
          onClick={() => void save(RankMachines, { order: [...order] }, { weighed: true }).then(leave)}
        >
          Do them in that order
        </button>
        <button type="button" onClick={leave}>
          Leave it as it is
        </button>
      </div>
    </div>
  );
}
