import { type MoneyValue, money, plainNumber } from "../shared/format.ts";
import { Paging, type PagingState } from "../shared/paging.tsx";
import { type Column, Table } from "../shared/Table.tsx";
import { type Batch, DEPOSIT_STATE, type NameDown } from "./batch.ts";

/** Who is in it. Deposits and stages are told to their member, and all of them to who gathers the batch. */
export function NamesDown({ batch, paging }: { batch: Batch; paging: PagingState }) {
  const rows = batch.namesDown.edges.map(({ node }) => node);
  const told = rows.some(({ deposit }) => deposit !== null);
  const whole = batch.own && rows.length === batch.namesDown.totalCount;
  return (
    <div className={told ? undefined : "club-narrow"}>
      {whole && rows.length > 0 && <Deposits rows={rows} />}
      <Table
        caption="Names down"
        rows={rows}
        rowKey={({ id }) => id}
        columns={columnsOf(batch, told)}
        empty={<p className="prose">Nobody's name is down yet.</p>}
        paging={
          batch.namesDown.totalCount > 0 && (
            <Paging
              of={paging}
              page={batch.namesDown.pageInfo}
              total={batch.namesDown.totalCount}
              shown={rows.length}
              noun="name"
            />
          )
        }
      />
    </div>
  );
}

const STATES = ["HELD", "SPENT", "RETURNED"] as const;

/** What the organiser holds, has paid over or has given back. */
function Deposits({ rows }: { rows: readonly NameDown[] }) {
  const sums = STATES.flatMap((state) => {
    const deposits = rows.flatMap(({ deposit, depositState }) => (deposit && depositState === state ? [deposit] : []));
    const [first] = deposits;
    if (!first) return [];
    return [{ state, sum: { ...first, minor: deposits.reduce((all, { minor }) => all + minor, 0) } as MoneyValue }];
  });
  if (sums.length === 0) return null;
  return (
    <p className="prose">
      Deposits: {sums.map(({ state, sum }) => `${money(sum)} ${DEPOSIT_STATE[state]}`).join(", ")}.
    </p>
  );
}

/** What each pays is told from the smallest size on: below it the batch does not go ahead. */
const isDue = ({ state, outlook }: Batch): boolean =>
  state === "GOES_AHEAD" || (state === "TAKING_NAMES" && outlook.needed === 0);

const columnsOf = (batch: Batch, told: boolean, due = isDue(batch)): Column<NameDown>[] => [
  { id: "member", title: "Member", lead: true, cell: ({ memberName, own }) => (own ? "you" : memberName) },
  { id: "quantity", title: "Pieces", numeric: true, cell: ({ quantity }) => plainNumber(quantity) },
  ...(due
    ? [
        {
          id: "price",
          title: "Pays in all",
          numeric: true,
          cell: ({ price }: NameDown) => <span className="money">{money(price)}</span>,
        },
      ]
    : []),
  ...(told
    ? [
        {
          id: "deposit",
          title: "Deposit",
          numeric: true,
          cell: ({ deposit }: NameDown) => deposit && <span className="money">{money(deposit)}</span>,
        },
        {
          id: "depositState",
          title: "Deposit is",
          cell: ({ depositState }: NameDown) => depositState && DEPOSIT_STATE[depositState],
        },
        ...(!due
          ? []
          : batch.stages.map(({ title }, place) => ({
              id: `stage ${place}`,
              title,
              numeric: true,
              cell: ({ stages }: NameDown) => {
                const payment = stages[place];
                return payment && <span className="money">{money(payment)}</span>;
              },
            }))),
      ]
    : []),
];
