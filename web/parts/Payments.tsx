import { ChoiceField, DateField, MoneyField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { dateInFull, money } from "../shared/format.ts";
import { type Open, OpenButton, Opened } from "../shared/Opened.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { Table } from "../shared/Table.tsx";
import { choicesOf, PAYMENT_KIND } from "../shared/words.ts";
import { CorrectPayment, type Order, type Payment, SavePayment } from "./part.ts";

/** The account of one order: entries are added and put right by further entries; none is changed or taken out. */
export function Payments({ order, dataDate, open }: { order: Order; dataDate: string; open: Open }) {
  const done = (key: string) => () => open.close(key);
  return (
    <>
      {open.has("payment") && (
        <Opened>
          <PaymentForm order={order} dataDate={dataDate} onDone={done("payment")} />
        </Opened>
      )}
      {order.payments.length > 0 && (
        <Table
          caption={`Payments of order ${order.code}`}
          copy={false}
          rows={order.payments}
          rowKey={({ id }) => id}
          columns={[
            {
              id: "kind",
              title: "Payment",
              lead: true,
              cell: (payment) => (
                <>
                  {PAYMENT_KIND[payment.kind]}
                  {payment.corrects !== null && ", taken back"}
                  {payment.correctedBy !== null && ", corrected since"}
                </>
              ),
            },
            {
              id: "paidOn",
              title: "Paid on",
              cell: ({ paidOn }) => <span className="nowrap">{dateInFull(paidOn)}</span>,
            },
            {
              id: "amount",
              title: "Amount",
              numeric: true,
              cell: ({ amount }) => <span className="money">{money(amount)}</span>,
            },
            { id: "notes", title: "Notes", cell: ({ notes }) => notes },
            {
              id: "controls",
              title: "",
              controls: true,
              cell: (payment) =>
                payment.corrects === null &&
                payment.correctedBy === null && (
                  <>
                    <OpenButton of={open} opens={payment.id}>
                      Correct<span className="unseen"> {nameOf(payment)}</span>
                    </OpenButton>
                    <TakeBack payment={payment} />
                  </>
                ),
            },
          ]}
          below={(payment) =>
            open.has(payment.id) && (
              <Opened>
                <PaymentForm order={order} payment={payment} dataDate={dataDate} onDone={done(payment.id)} />
              </Opened>
            )
          }
        />
      )}
    </>
  );
}

const nameOf = (payment: Payment): string => `${PAYMENT_KIND[payment.kind]} of ${dateInFull(payment.paidOn)}`;

/** Writes an entry against the payment: it stays in the ledger, and counts no more. */
function TakeBack({ payment }: { payment: Payment }) {
  const { save } = useSave();
  return (
    <button type="button" onClick={() => void save(CorrectPayment, { payment: payment.id, input: null })}>
      Take back<span className="unseen"> {nameOf(payment)}</span>
    </button>
  );
}

interface PaymentFormProps {
  order: Order;
  payment?: Payment;
  dataDate: string;
  onDone: () => void;
}

function PaymentForm({ order, payment, dataDate, onDone }: PaymentFormProps) {
  const { currency } = useRestoration();
  const { save } = useSave();
  return (
    <Form
      label={payment ? `Correct the ${nameOf(payment)}` : `Add a payment to order ${order.code}`}
      initial={{
        kind: payment?.kind ?? (order.payments.length > 0 ? "BALANCE" : "DEPOSIT"),
        paidOn: payment?.paidOn ?? dataDate,
        amountMinor: payment?.amount.minor ?? null,
        rate: payment?.rate ?? null,
        notes: payment?.notes ?? "",
      }}
      onSave={(input) =>
        payment
          ? save(CorrectPayment, { payment: payment.id, input })
          : save(SavePayment, { input: { ...input, order: order.id } })
      }
      onSaved={onDone}
      onCancel={onDone}
      saveLabel={payment ? "Save the correction" : "Save the payment"}
    >
      <div className="fields">
        <ChoiceField name="kind" label="Kind" choices={choicesOf(PAYMENT_KIND)} />
        <DateField name="paidOn" label="Paid on" />
        <MoneyField name="amountMinor" label="Amount" currency={order.total.currency} decimals={order.total.decimals} />
        {order.total.currency !== currency && (
          <TextField
            name="rate"
            nullable
            label={`Rate agreed, ${currency} for 1 ${order.total.currency}`}
            hint="Blank is by the rates entered."
          />
        )}
        <TextField name="notes" label="Notes" />
      </div>
    </Form>
  );
}
