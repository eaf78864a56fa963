import type { ResultOf } from "gql.tada";
import type { ReactNode } from "react";
import { Link } from "react-router";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { NotesField } from "../shared/Fields.tsx";
import { ChoiceFilter } from "../shared/Filters.tsx";
import { Form } from "../shared/Form.tsx";
import { counted } from "../shared/format.ts";
import { useKept } from "../shared/kept.ts";
import { Mark } from "../shared/Mark.tsx";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Empty, Loading, Page, Problem } from "../shared/Page.tsx";
import { Paging, useAddressValue, usePaging } from "../shared/paging.tsx";
import { SaveParts, useSave } from "../shared/save.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { clubAddress } from "./addresses.ts";
import { useClub } from "./club.ts";
import { HideForm, ShowAgainButton } from "./ReportForm.tsx";

const ReportsQuery = graphql(`
  query ClubReports($first: Int, $after: String, $settled: Boolean) {
    waiting: clubReports(first: 1, settled: false) { totalCount }
    clubReports(first: $first, after: $after, settled: $settled) {
      totalCount
      pageInfo { hasNextPage hasPreviousPage startCursor endCursor }
      edges { node { id revision kind rowId row reason settled outcome rowHidden match { want spare } postedAt member { id name own } } }
    }
  }
`);

const Settle = graphql(
  `
  mutation SettleReport($id: ID!, $revision: Int!, $outcome: String!) {
    settleReport(id: $id, revision: $revision, outcome: $outcome) { __typename ...SaveParts }
  }
`,
  [SaveParts],
);

type Report = ResultOf<typeof ReportsQuery>["clubReports"]["edges"][number]["node"];

const KIND = { SOURCE: "source", WANT: "want", SPARE: "spare", BATCH: "batch", MESSAGE: "message" } as const;
const STANDS = { waiting: "waiting", settled: "answered" } as const;
const moment = new Intl.DateTimeFormat("en-GB", { dateStyle: "medium", timeStyle: "short" });

/** Reports of rows: to an admin all of them, to be answered; to others their own, with the answer. */
export default function ReportsPage() {
  const club = useClub();
  const [stands, setStands] = useAddressValue("stands", ["page"]);
  const paging = usePaging("page", 50);
  const open = useOpen();
  const [result, again] = useQuery({
    query: ReportsQuery,
    variables: {
      first: paging.size,
      after: paging.variables.after ?? null,
      settled: stands === "settled" ? true : stands === "waiting" ? false : null,
    },
  });
  const data = useKept(result.data, club.id);
  const rows = data?.clubReports.edges.map(({ node }) => node) ?? [];
  const waiting = data?.waiting.totalCount ?? 0;
  const whose = club.admin ? "" : " of yours";
  return (
    <Page
      title="Reports"
      sentence={
        data &&
        (waiting === 0
          ? `No report${whose} waits for an answer.`
          : `${counted(waiting, "report")}${whose} ${waiting === 1 ? "waits" : "wait"} for an answer${club.admin ? " by you or another admin" : " by an admin"}.`)
      }
    >
      {result.error && !data ? (
        <Problem of={result.error} what="the reports" again={() => again({ requestPolicy: "network-only" })} />
      ) : !data ? (
        <Loading what="the reports" />
      ) : (
        <Table
          caption="Reports"
          rows={rows}
          rowKey={({ id }) => id}
          columns={columnsOf((report) =>
            club.admin ? (
              <>
                {!report.settled && (
                  <>
                    <OpenButton of={open} opens={`hide ${report.id}`}>
                      Hide<span className="unseen"> {report.row}</span>
                    </OpenButton>
                    <OpenButton of={open} opens={`settle ${report.id}`}>
                      Leave it, and answer<span className="unseen"> the report of {report.row}</span>
                    </OpenButton>
                  </>
                )}
                {report.settled && report.rowHidden && (
                  <ShowAgainButton kind={report.kind} id={report.rowId} what={report.row} />
                )}
              </>
            ) : null,
          )}
          below={(report) =>
            (open.has(`hide ${report.id}`) || open.has(`settle ${report.id}`)) && (
              <Answering report={report} open={open} />
            )
          }
          filters={
            (data.clubReports.totalCount > 0 || stands) && (
              <ChoiceFilter
                label="Stands"
                all="waiting or answered"
                value={stands}
                onChange={setStands}
                choices={[
                  { value: "waiting", label: STANDS.waiting },
                  { value: "settled", label: STANDS.settled },
                ]}
              />
            )
          }
          empty={
            <Empty title={stands ? "No report is like that" : "Nothing has been reported"}>
              <p>
                {stands
                  ? "Choose waiting or answered to see the others."
                  : "Each row of the club can be reported where it stands; an admin then hides it with the reason, or answers."}
              </p>
            </Empty>
          }
          paging={
            data.clubReports.totalCount > 0 && (
              <Paging
                of={paging}
                page={data.clubReports.pageInfo}
                total={data.clubReports.totalCount}
                shown={rows.length}
                noun="report"
              />
            )
          }
        />
      )}
    </Page>
  );
}

function Answering({ report, open }: { report: Report; open: ReturnType<typeof useOpen> }): ReactNode {
  const { save } = useSave();
  const [hide, settle] = [`hide ${report.id}`, `settle ${report.id}`];
  const what = `${KIND[report.kind]} ${report.row}`;
  if (open.has(hide))
    return (
      <Opened>
        <HideForm kind={report.kind} id={report.rowId} what={what} onDone={() => open.close(hide)} />
      </Opened>
    );
  return (
    <Opened>
      <Form
        label={`Answer the report of ${what}`}
        initial={{ outcome: "" }}
        onSave={({ outcome }) => save(Settle, { id: report.id, revision: report.revision, outcome: String(outcome) })}
        onSaved={() => open.close(settle)}
        onCancel={() => open.close(settle)}
        saveLabel="Answer the report"
      >
        <div className="fields">
          <NotesField name="outcome" label="Why it stays" rows={2} hint="Who reported it reads this." />
        </div>
      </Form>
    </Opened>
  );
}

const columnsOf = (controls: (report: Report) => ReactNode): Column<Report>[] => [
  {
    id: "row",
    title: "What is reported",
    lead: true,
    cell: ({ row, kind, match }) => (
      <>
        {row}
        <span className="club-under">{KIND[kind]}, as it read when it was reported</span>
        {match && (
          <Link className="club-under" to={clubAddress.match(match.want, match.spare)}>
            Read it where it stands
          </Link>
        )}
      </>
    ),
  },
  { id: "reason", title: "What is wrong", cell: ({ reason }) => reason },
  {
    id: "by",
    title: "Reported",
    cell: ({ member, postedAt }) => (
      <>
        <span className="nowrap">{member.own ? "by you" : member.name}</span>
        <span className="club-under nowrap">{moment.format(new Date(postedAt))}</span>
      </>
    ),
  },
  {
    id: "stands",
    title: "Stands",
    cell: ({ settled, outcome }) =>
      settled ? (
        <>
          <Mark word={STANDS.settled} colour="verdigris" shape="full" />
          <span className="club-under">{outcome}</span>
        </>
      ) : (
        <Mark word={STANDS.waiting} colour="brass" shape="empty" />
      ),
  },
  { id: "controls", title: "", controls: true, cell: controls },
];
