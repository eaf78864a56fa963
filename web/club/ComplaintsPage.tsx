import type { ResultOf } from "gql.tada";
import type { ReactNode } from "react";
import { Link } from "react-router";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { NotesField } from "../shared/Fields.tsx";
import { ChoiceFilter } from "../shared/Filters.tsx";
import { Form } from "../shared/Form.tsx";
import { counted, momentInFull } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { Mark } from "../shared/Mark.tsx";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Empty, Loading, Page, Problem } from "../shared/Page.tsx";
import { Paging, useAddressValue, usePaging } from "../shared/paging.tsx";
import { SaveParts, useSave } from "../shared/save.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { useNarrow } from "../shared/useNarrow.ts";
import { clubAddress } from "./addresses.ts";
import { ShowAgainButton, WithholdForm } from "./ComplaintForm.tsx";
import { useClub } from "./club.ts";

const ComplaintsQuery = graphql(`
  query ClubComplaints($first: Int, $after: String, $answered: Boolean) {
    waiting: clubComplaints(first: 1, answered: false) { totalCount }
    clubComplaints(first: $first, after: $after, answered: $answered) {
      totalCount
      pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
      edges { node { id revision kind rowId row reason answered answer rowWithheld match { want spare } enteredAt member { id name own } } }
    }
  }
`);

const AnswerComplaint = graphql(
  `
  mutation AnswerComplaint($id: ID!, $revision: Int!, $answer: String!) {
    answerComplaint(id: $id, revision: $revision, answer: $answer) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

type Complaint = ResultOf<typeof ComplaintsQuery>["clubComplaints"]["edges"][number]["node"];

const KIND = { SOURCE: "source", WANT: "wanted", SPARE: "spare", BATCH: "batch", MESSAGE: "message" } as const;

/** What a complaint is about, as it read then: "spare 41 Upholstery hides"; of a message its words alone. */
const saidOf = ({ kind, row }: Pick<Complaint, "kind" | "row">): string =>
  kind === "MESSAGE" ? row : `${KIND[kind]} ${row}`;
const STATE = { waiting: "waiting", answered: "answered" } as const;

/** Complaints about rows: to a steward all of them, to be answered; to others their own, with the answer. */
export default function ComplaintsPage() {
  const club = useClub();
  const [state, setState] = useAddressValue("state", ["page"]);
  const paging = usePaging("page", useNarrow() ? 25 : 50);
  const open = useOpen();
  const [result, again] = useQuery({
    query: ComplaintsQuery,
    variables: {
      first: paging.size,
      after: paging.variables.after ?? null,
      answered: state === "answered" ? true : state === "waiting" ? false : null,
    },
  });
  const data = useKept(result.data, club.id);
  const rows = data?.clubComplaints.edges.map(({ node }) => node) ?? [];
  const waiting = data?.waiting.totalCount ?? 0;
  const whose = club.steward ? "" : " of yours";
  return (
    <Page
      title="Complaints"
      sentence={
        data &&
        (waiting === 0
          ? `No complaint${whose} waits for an answer.`
          : `${counted(waiting, "complaint")}${whose} ${waiting === 1 ? "waits" : "wait"} for an answer${club.steward ? " by you or another steward" : " by a steward"}.`)
      }
    >
      {result.error && !data ? (
        <Problem of={result.error} what="the complaints" again={() => again({ requestPolicy: "network-only" })} />
      ) : !data ? (
        <Loading what="the complaints" />
      ) : (
        <Table
          caption="Complaints"
          rows={rows}
          rowKey={({ id }) => id}
          brief={({ kind, row, reason, answered }) => ({
            name: saidOf({ kind, row }),
            also: reason,
            when: answered ? STATE.answered : STATE.waiting,
            colour: answered ? "verdigris" : "brass",
          })}
          columns={columnsOf((complaint) =>
            club.steward ? (
              <>
                {!complaint.answered && (
                  <>
                    <OpenButton of={open} opens={`withhold ${complaint.id}`}>
                      Withhold<span className="unseen"> {saidOf(complaint)}</span>
                    </OpenButton>
                    <OpenButton of={open} opens={`answer ${complaint.id}`}>
                      Leave it, and answer<span className="unseen"> the complaint about {saidOf(complaint)}</span>
                    </OpenButton>
                  </>
                )}
                {complaint.answered && complaint.rowWithheld && (
                  <ShowAgainButton kind={complaint.kind} id={complaint.rowId} what={saidOf(complaint)} />
                )}
              </>
            ) : null,
          )}
          below={(complaint) =>
            (open.has(`withhold ${complaint.id}`) || open.has(`answer ${complaint.id}`)) && (
              <Answering complaint={complaint} open={open} />
            )
          }
          filters={
            (data.clubComplaints.totalCount > 0 || state) && (
              <ChoiceFilter
                label="State"
                all="all states"
                value={state}
                onChange={setState}
                choices={[
                  { value: "waiting", label: STATE.waiting },
                  { value: "answered", label: STATE.answered },
                ]}
              />
            )
          }
          empty={
            <Empty title={state ? "No complaint matches" : "Nobody has said that anything is wrong"}>
              <p>
                {state
                  ? "Choose another state to see the others."
                  : "Beside each entry of another member you can say what is wrong; a steward then withholds it and says why, or answers."}
              </p>
            </Empty>
          }
          paging={
            data.clubComplaints.totalCount > 0 && (
              <Paging
                of={paging}
                page={data.clubComplaints.pageInfo}
                total={data.clubComplaints.totalCount}
                shown={rows.length}
                noun="complaint"
              />
            )
          }
        />
      )}
    </Page>
  );
}

function Answering({ complaint, open }: { complaint: Complaint; open: ReturnType<typeof useOpen> }): ReactNode {
  const { save } = useSave();
  const [withhold, answer] = [`withhold ${complaint.id}`, `answer ${complaint.id}`];
  const what = saidOf(complaint);
  if (open.has(withhold))
    return (
      <Opened>
        <WithholdForm kind={complaint.kind} id={complaint.rowId} what={what} onDone={() => open.close(withhold)} />
      </Opened>
    );
  return (
    <Opened>
      <Form
        label={`Answer the complaint about ${what}`}
        initial={{ answer: "" }}
        onSave={({ answer }) =>
          save(AnswerComplaint, { id: complaint.id, revision: complaint.revision, answer: String(answer) })
        }
        onSaved={() => open.close(answer)}
        onCancel={() => open.close(answer)}
        saveLabel="Answer the complaint"
      >
        <div className="fields">
          <NotesField name="answer" label="Why it stays" rows={2} hint="Whoever complained reads this." />
        </div>
      </Form>
    </Opened>
  );
}

const columnsOf = (controls: (complaint: Complaint) => ReactNode): Column<Complaint>[] => [
  {
    id: "row",
    title: "What it is about",
    lead: true,
    cell: ({ row, kind, match }) => (
      <>
        {saidOf({ kind, row })}
        <span className="club-under">{kind === "MESSAGE" ? "message, as it read then" : "as it read then"}</span>
        {match && (
          <Link className="club-under" to={clubAddress.match(match.want, match.spare)}>
            See it on its sheet
          </Link>
        )}
      </>
    ),
  },
  { id: "reason", title: "What is wrong", cell: ({ reason }) => reason },
  {
    id: "by",
    title: "From",
    cell: ({ member, enteredAt }) => (
      <>
        <span className="nowrap">{member.own ? "you" : member.name}</span>
        <span className="club-under nowrap">{momentInFull(enteredAt)}</span>
      </>
    ),
  },
  {
    id: "state",
    title: "State",
    cell: ({ answered, answer }) =>
      answered ? (
        <>
          <Mark word={STATE.answered} colour="verdigris" shape="full" />
          <span className="club-under">{answer}</span>
        </>
      ) : (
        <Mark word={STATE.waiting} colour="brass" shape="empty" />
      ),
  },
  { id: "controls", title: "", controls: true, cell: controls },
];
