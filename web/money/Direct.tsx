import { Link } from "react-router";
import { type PaidFor, PaymentForm, paymentOf } from "../parts/Payments.tsx";
import { addressOf } from "../shared/addresses.ts";
import { Code, codeInWords } from "../shared/Code.tsx";
import { money } from "../shared/format.ts";
import { OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { Table } from "../shared/Table.tsx";
import type { MoneyData } from "./documents.ts";

type Row = MoneyData["exposure"]["paidDirectly"]["edges"][number]["node"];

const paidFor = ({ id, way, code, title, price }: Row): PaidFor => ({
  field: way === null ? "remedy" : "way",
  id,
  words: `${title}, ${codeInWords(way === null ? "snag" : "operation", code)}`,
  price,
});

/** Work sent out, and remedies of snags: what is paid for them without an order, and what is still to be paid. */
export function Direct({ of, figuresFor }: { of: MoneyData; figuresFor: string }) {
  const { id } = useRestoration();
  const open = useOpen();
  return (
    <Table
      caption="Work sent out and remedies, paid without an order"
      rows={of.exposure.paidDirectly.edges.map(({ node }) => node)}
      rowKey={(row) => row.id}
      columns={[
        {
          id: "what",
          title: "What",
          lead: true,
          cell: ({ operation, snag, code, title }) => (
            <Link to={operation === null ? addressOf.snag(id, snag ?? "") : addressOf.operation(id, operation)}>
              {title}, <Code noun={operation === null ? "snag" : "operation"} of={code} />
            </Link>
          ),
        },
        { id: "price", title: "Price", numeric: true, cell: ({ price }) => money(price) },
        { id: "paid", title: "Paid", numeric: true, cell: ({ paid }) => money(paid) },
        {
          id: "left",
          title: "Still to pay",
          numeric: true,
          cell: ({ left, owed, inForce }) =>
            !inForce ? (
              "no longer chosen; not refunded"
            ) : left !== null && left.minor < 0 ? (
              `${money({ ...left, minor: -left.minor })} too much`
            ) : (
              <>
                {left === null ? "no rate known" : money(left)}
                {!owed && left?.minor !== 0 && <span className="soft small entry-notes">once it is done</span>}
              </>
            ),
        },
        {
          id: "controls",
          title: "",
          controls: true,
          cell: (row) => (
            <OpenButton of={open} opens={paymentOf(row)}>
              Add a payment<span className="unseen"> for {row.title}</span>
            </OpenButton>
          ),
        },
      ]}
      below={(row) =>
        open.has(paymentOf(row)) && (
          <Opened>
            <PaymentForm of={paidFor(row)} figuresFor={figuresFor} onDone={() => open.close(paymentOf(row))} />
          </Opened>
        )
      }
    />
  );
}
