import { ChoiceField, DateField, MoneyField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { dateInFull, money } from "../shared/format.ts";
import { type Open, OpenButton, Opened } from "../shared/Opened.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useSave } from "../shared/save.tsx";
import { Table } from "../shared/Table.tsx";
import { choicesOf, PAYMENT_KIND } from "../shared/words.ts";
import { type Order, type Payment, SavePayment } from "./part.ts";

/** Money that went to the supplier for one order; a refund came back. */
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
              cell: (payment) => PAYMENT_KIND[payment.kind],
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
              cell: (payment) => (
                <>
                  <OpenButton of={open} opens={payment.id}>
                    Edit<span className="unseen"> {nameOf(payment)}</span>
                  </OpenButton>
                  <RemoveButton row="PAYMENT" id={payment.id} revision={payment.revision} what={nameOf(payment)} />
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

interface PaymentFormProps {
  order: Order;
  payment?: Payment;
  dataDate: string;
  onDone: () => void;
}

function PaymentForm({ order, payment, dataDate, onDone }: PaymentFormProps) {
  const { save } = useSave();
  return (
    <Form
      label={payment ? `Change the ${nameOf(payment)}` : `Add a payment to order ${order.code}`}
      initial={{
        kind: payment?.kind ?? (order.payments.length > 0 ? "BALANCE" : "DEPOSIT"),
        paidOn: payment?.paidOn ?? dataDate,
        amountMinor: payment?.amount.minor ?? null,
        notes: payment?.notes ?? "",
      }}
      row={payment ? { id: payment.id, revision: payment.revision } : null}
      onSave={(input) => save(SavePayment, { input: payment ? input : { ...input, order: order.id } })}
      onSaved={onDone}
      onCancel={onDone}
      saveLabel="Save the payment"
    >
      <div className="fields">
        <ChoiceField name="kind" label="Kind" choices={choicesOf(PAYMENT_KIND)} />
        <DateField name="paidOn" label="Paid on" />
        <MoneyField name="amountMinor" label="Amount" currency={order.total.currency} decimals={order.total.decimals} />
        <TextField name="notes" label="Notes" />
      </div>
    </Form>
  );
}
