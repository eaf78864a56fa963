import { Link } from "react-router";
import { useQuery } from "urql";
import { DECISION_STATE } from "../owner/decision.ts";
import { addressOf } from "../shared/addresses.ts";
import { codeInWords } from "../shared/Code.tsx";
import { ChoiceField, DateField, MoneyField, NotesField, NumberField, TextField } from "../shared/Fields.tsx";
import { Form, useFieldValue, type Values } from "../shared/Form.tsx";
import { days, listed, money } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { type SaveOutcome, useSave } from "../shared/save.tsx";
import { choicesOf, FIT_RATING, isOwnWork, orderStates } from "../shared/words.ts";
import { type Order, OrderConsentQuery, OrderTotalQuery, type Part, type Quote, SaveOrder } from "./part.ts";

const RATINGS = Object.entries(FIT_RATING).map(([value, label]) => ({ value, label }));

/** What was left blank is left to the quote. */
const said = (input: Values): Values => Object.fromEntries(Object.entries(input).filter(([, value]) => value !== null));

interface NewOrderProps {
  part: Part;
  quote: Quote;
  figuresFor: string;
  onDone: () => void;
}

/** Takes a quote up. */
export function NewOrder({ part, quote, figuresFor, onDone }: NewOrderProps) {
  const { save } = useSave();
  return (
    <Form
      label={`${isOwnWork(quote) ? "Make it by" : "Order from"} quote ${quote.code}`}
      initial={{
        quantity: Math.max(part.quantity, quote.minimumQuantity),
        placedOn: figuresFor,
        promisedOn: null,
        totalMinor: null,
        code: null,
        notes: "",
      }}
      onSave={(input) => save(SaveOrder, { input: { ...said(input), quote: quote.id } })}
      onSaved={onDone}
      onCancel={onDone}
      saveLabel={isOwnWork(quote) ? "Begin it" : "Place the order"}
    >
      {quote.expired && (
        <p className="prose">This quote is past its validity: ask the supplier again before ordering.</p>
      )}
      <OrderConsent part={part.id} quote={quote.id} />
      <OrderTotal part={part.id} quote={quote.id} own={isOwnWork(quote)} />
      <div className="fields">
        <DateField name="placedOn" label={isOwnWork(quote) ? "Begun on" : "Placed on"} />
        <NumberField name="quantity" label="How many" whole />
        <DateField
          name="promisedOn"
          label="Promised for"
          hint={`Left blank: ${days(quote.leadDays)} after it is ${isOwnWork(quote) ? "begun" : "placed"}, as quoted.`}
        />
        <MoneyField
          name="totalMinor"
          label="Total"
          hint={`Left blank: ${isOwnWork(quote) ? "what that many cost, by the quote." : "the landed cost of that many, ordered by themselves, with carriage, duty and tax."}`}
          currency={quote.unitPrice.currency}
          decimals={quote.unitPrice.decimals}
        />
        <TextField name="code" label="Code" nullable hint="Left blank, the next number is taken." />
        <NotesField name="notes" label="Notes" rows={2} />
      </div>
    </Form>
  );
}

/** What a total becomes that is left blank, and what it would be on one order with others of the supplier. */
function OrderTotal({ part, quote, own }: { part: string; quote: string; own: boolean }) {
  const [quantity, placedOn] = [useFieldValue("quantity"), useFieldValue("placedOn")];
  const [{ data }] = useQuery({
    query: OrderTotalQuery,
    variables: {
      part,
      quantity: typeof quantity === "number" && Number.isInteger(quantity) && quantity > 0 ? quantity : null,
      placedOn: typeof placedOn === "string" && /^\d{4}-\d\d-\d\d$/.test(placedOn) ? placedOn : null,
    },
    requestPolicy: "cache-and-network",
  });
  const found = data?.part?.quotes.find((known) => known.id === quote)?.orderTotal;
  if (!found) return null;
  const { alone, shared, beside, problem } = found;
  if (!alone) return <p className="prose">The total cannot be worked out, so it is needed: {problem}</p>;
  return (
    <p className="prose" aria-live="polite">
      {own ? "It" : "Ordered by itself it"} comes to <strong className="money">{money(alone)}</strong>.
      {shared && beside.length > 0 && shared.minor !== alone.minor && (
        <>
          {" "}
          The plan counts <span className="money">{money(shared)}</span>, its share of one order with {listed(beside)}:
          placed here it is an order of its own, unless you enter the total that was agreed.
        </>
      )}
    </p>
  );
}

/** Says that the owner's consent is due before this is ordered. It bars nothing: whether it is needed is for local law. */
function OrderConsent({ part, quote }: { part: string; quote: string }) {
  const { id, owner } = useRestoration();
  const [{ data }] = useQuery({
    query: OrderConsentQuery,
    variables: { part, restoration: id },
    requestPolicy: "cache-and-network",
  });
  const due = data?.part?.quotes.find((known) => known.id === quote)?.consentDue;
  const limit = data?.restoration.consentOver;
  if (!due || !limit) return null;
  return (
    <>
      <Mark
        word={due.asked === null ? "not asked" : DECISION_STATE[due.asked]}
        colour="brass"
        shape={due.asked === "WAITING" ? "empty" : due.asked === "DECLINED" ? "cross" : "broken"}
      />
      <p className="prose">
        {money(due.amount)} landed, ordered by itself, is over the limit of {money(limit)}, so the consent of{" "}
        {owner || "the owner"} is due before the order: local law decides. Ordered without it, it is listed as such.{" "}
        <Link to={`${addressOf.owner(id)}#ask`}>{due.asked === null ? "Ask for it" : "What was asked"}</Link>
      </p>
    </>
  );
}

interface StepProps {
  order: Order;
  onDone: () => void;
}

/** Saves one step of an order: the fields of the form, and the state that the step leads to. */
function useStep(order: Order): (input: Values, state?: Order["state"]) => Promise<SaveOutcome> {
  const { save } = useSave();
  return (input, state) =>
    save(SaveOrder, { input: { ...input, ...(state ? { state } : {}), id: order.id, revision: order.revision } });
}

/** The part came. */
export function Arrival({ order, figuresFor, onDone }: StepProps & { figuresFor: string }) {
  const step = useStep(order);
  const own = isOwnWork(order.quote);
  return (
    <Form
      label={`Arrival of order ${order.code}`}
      initial={{ arrivedOn: figuresFor }}
      onSave={(input) => step(input, "ARRIVED")}
      onSaved={onDone}
      onCancel={onDone}
      saveLabel={own ? "Note that it is ready" : "Note the arrival"}
    >
      <div className="fields">
        <DateField name="arrivedOn" label={own ? "Ready on" : "Arrived on"} />
      </div>
    </Form>
  );
}

/** The maker's newest word. */
export function Expected({ order, onDone }: StepProps) {
  const step = useStep(order);
  return (
    <Form
      label={`Expected date of order ${order.code}`}
      initial={{ expectedOn: order.expectedOn }}
      onSave={(input) => step(input)}
      onSaved={onDone}
      onCancel={onDone}
      saveLabel="Save the date"
    >
      <div className="fields">
        <DateField
          name="expectedOn"
          label="Now expected on"
          hint={`${isOwnWork(order.quote) ? "As it looks now" : "The supplier's newest word"}. Blank: as promised.`}
        />
      </div>
    </Form>
  );
}

/** Tried and kept. */
export function FitRating({ order, figuresFor, onDone }: StepProps & { figuresFor: string }) {
  const step = useStep(order);
  return (
    <Form
      label={`Accept order ${order.code}`}
      initial={{ fitRating: order.fitRating, arrivedOn: order.arrivedOn ?? figuresFor }}
      onSave={(input) => step(input, "ACCEPTED")}
      onSaved={onDone}
      onCancel={onDone}
      saveLabel="Accept"
    >
      <div className="fields">
        <ChoiceField name="fitRating" label="How it fitted" numeric none="not rated" choices={RATINGS} />
      </div>
    </Form>
  );
}

/** Tried and not kept: the part is waited for again. */
export function SendBack({ order, figuresFor, onDone }: StepProps & { figuresFor: string }) {
  const step = useStep(order);
  return (
    <Form
      label={`Send order ${order.code} back`}
      initial={{ fitRating: order.fitRating, arrivedOn: order.arrivedOn ?? figuresFor, notes: order.notes }}
      onSave={(input) => step(input, "SENT_BACK")}
      onSaved={onDone}
      onCancel={onDone}
      saveLabel="Send it back"
    >
      <div className="fields">
        <ChoiceField name="fitRating" label="How it fitted" numeric none="not rated" choices={RATINGS} />
        <NotesField name="notes" label="Why" rows={2} />
      </div>
    </Form>
  );
}

/** Everything that an order holds. */
export function EditOrder({ part, order, onDone }: StepProps & { part: Part }) {
  const { save } = useSave();
  const own = isOwnWork(order.quote);
  return (
    <Form
      label={`Change order ${order.code}`}
      initial={{
        quote: order.quote.id,
        state: order.state,
        placedOn: order.placedOn,
        promisedOn: order.promisedOn,
        expectedOn: order.expectedOn,
        arrivedOn: order.arrivedOn,
        fitRating: order.fitRating,
        quantity: order.quantity,
        totalMinor: order.total.minor,
        code: order.code,
        notes: order.notes,
      }}
      row={{ id: order.id, revision: order.revision }}
      onSave={(input) => save(SaveOrder, { input })}
      onSaved={onDone}
      onCancel={onDone}
      saveLabel="Save the order"
    >
      <div className="fields">
        <ChoiceField
          name="quote"
          label="Quote"
          choices={part.quotes.map((quote) => ({
            value: quote.id,
            label: `${codeInWords("quote", quote.code)}, ${quote.supplier.name}`,
          }))}
        />
        <ChoiceField name="state" label="State" choices={choicesOf(orderStates(own))} />
        <DateField name="placedOn" label={own ? "Begun on" : "Placed on"} />
        <DateField name="promisedOn" label="Promised for" />
        <DateField name="expectedOn" label="Now expected on" />
        <DateField name="arrivedOn" label={own ? "Ready on" : "Arrived on"} />
        <ChoiceField name="fitRating" label="How it fitted" numeric none="not rated" choices={RATINGS} />
        <NumberField name="quantity" label="How many" whole />
        <MoneyField name="totalMinor" label="Total" currency={order.total.currency} decimals={order.total.decimals} />
        <TextField name="code" label="Code" />
        <NotesField name="notes" label="Notes" rows={2} />
      </div>
    </Form>
  );
}
