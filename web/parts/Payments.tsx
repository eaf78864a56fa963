import { ChoiceField, DateField, MoneyField, TextField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { dateInFull, money } from "../shared/format.ts";
import { type Open, OpenButton, Opened } from "../shared/Opened.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { Table } from "../shared/Table.tsx";
import { choicesOf, PAYMENT_KIND } from "../shared/words.ts";
import { CorrectPayment, type Payment, SavePayment } from "./part.ts";

/** What payments are for: an order, a way to have an operation done, or a remedy of a snag. */
export interface PaidFor {
  field: "order" | "way" | "remedy";
  id: string;
  /** As a sentence names it: "order 12". */
  words: string;
  /** What it comes to, in the currency in which it is paid. */
  price: Parameters<typeof money>[0];
}

interface PaymentsProps {
  of: PaidFor;
  payments: readonly Payment[];
  figuresFor: string;
  open: Open;
}

/** The key under which the form for a new payment opens. */
export const paymentOf = ({ id }: Pick<PaidFor, "id">): string => `payment ${id}`;

/** What was paid for one thing: entries are added and put right by further entries; none is changed or taken out. */
export function Payments({ of, payments, figuresFor, open }: PaymentsProps) {
  const done = (key: string) => () => open.close(key);
  return (
    <>
      {open.has(paymentOf(of)) && (
        <Opened>
          <PaymentForm of={of} first={payments.length === 0} figuresFor={figuresFor} onDone={done(paymentOf(of))} />
        </Opened>
      )}
      {payments.length > 0 && (
        <Table
          caption={`Payments of ${of.words}`}
          copy={false}
          rows={payments}
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
                <PaymentForm of={of} payment={payment} figuresFor={figuresFor} onDone={done(payment.id)} />
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
  of: PaidFor;
  /** The one that is put right. */
  payment?: Payment;
  /** Nothing was paid yet. */
  first?: boolean;
  figuresFor: string;
  onDone: () => void;
}

export function PaymentForm({ of, payment, first = false, figuresFor, onDone }: PaymentFormProps) {
  const { currency, figuresFor: looked } = useRestoration();
  const { save } = useSave();
  return (
    <Form
      label={payment ? `Correct the ${nameOf(payment)}` : `Add a payment to ${of.words}`}
      initial={{
        kind: payment?.kind ?? (first && of.field === "order" ? "DEPOSIT" : "BALANCE"),
        paidOn: payment?.paidOn ?? figuresFor,
        amountMinor: payment?.amount.minor ?? null,
        rate: payment?.rate ?? null,
        notes: payment?.notes ?? "",
      }}
      onSave={(input) =>
        payment
          ? save(CorrectPayment, { payment: payment.id, input })
          : save(SavePayment, { input: { ...input, [of.field]: of.id } })
      }
      onSaved={onDone}
      onCancel={onDone}
      saveLabel={payment ? "Save the correction" : "Save the payment"}
    >
      <div className="fields">
        <ChoiceField name="kind" label="Kind" choices={choicesOf(PAYMENT_KIND)} />
        <DateField
          name="paidOn"
          label="Paid on"
          // By the calendar of whoever types it may be later than the day that is looked at.
          hint={looked === null ? undefined : `Not after ${dateInFull(looked)}, the day that figures are for`}
        />
        <MoneyField name="amountMinor" label="Amount" currency={of.price.currency} decimals={of.price.decimals} />
        {of.price.currency !== currency && (
          <TextField
            name="rate"
            nullable
            label={`Rate agreed, ${currency} for 1 ${of.price.currency}`}
            hint="Blank is by the rates entered."
          />
        )}
        <TextField name="notes" label="Notes" />
      </div>
    </Form>
  );
}
