import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { Code } from "../shared/Code.tsx";
import { dateInFull, days, money, plainNumber } from "../shared/format.ts";
import { Mark } from "../shared/Mark.tsx";
import { type Open, OpenButton, Opened, useOpen } from "../shared/Opened.tsx";
import { Section } from "../shared/Page.tsx";
import { RemoveButton } from "../shared/RemoveButton.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { FIT_RATING, isOwnWork, orderStates } from "../shared/words.ts";
import { Arrival, EditOrder, Expected, FitRating, NewOrder, SendBack } from "./OrderForms.tsx";
import { type PaidFor, Payments, paymentOf } from "./Payments.tsx";
import type { Order, Part, Quote } from "./part.ts";

const ORDER_MARKS = {
  PLACED: { colour: "ink", shape: "hatched" },
  ARRIVED: { colour: "brass", shape: "half" },
  ACCEPTED: { colour: "verdigris", shape: "full" },
  SENT_BACK: { colour: "ink", shape: "cross" },
} as const;

/** Where an order stands: a word, a pattern and a colour. */
export function OrderMark({
  order,
  own = false,
}: {
  order: { state: keyof ReturnType<typeof orderStates>; daysLate: number };
  own?: boolean;
}) {
  if (order.daysLate > 0) return <Mark word={`${days(order.daysLate)} late`} colour="red-lead" shape="cross" />;
  return <Mark word={orderStates(own)[order.state]} {...ORDER_MARKS[order.state]} />;
}

interface OrdersProps {
  part: Part;
  figuresFor: string;
  /** The quote an order is being written from. */
  from: Quote | null;
  onFromDone: () => void;
}

/** Where no order is: of what the shop makes itself nothing is ordered. */
function nothingYet(quotes: readonly Quote[]): string {
  const own = quotes.filter(isOwnWork).length;
  if (quotes.length === 0) return "Nothing is ordered yet. An order begins at a quote, and there is none yet.";
  if (own === 0) return "Nothing is ordered yet. An order begins at a quote above.";
  return own === quotes.length
    ? "It is not begun yet. Say so at the quote above when it is."
    : "Nothing is ordered or begun yet. Either begins at a quote above.";
}

/** Every order for the part, with its payments. */
export function Orders({ part, figuresFor, from, onFromDone }: OrdersProps) {
  return (
    <Section title="Orders" id="orders">
      {from && (
        <div className="opened-form">
          <h3>
            {isOwnWork(from) ? "Make it at" : "Order from"} {from.supplier.name}, quote {from.code}
          </h3>
          <Opened key={from.id}>
            <NewOrder part={part} quote={from} figuresFor={figuresFor} onDone={onFromDone} />
          </Opened>
        </div>
      )}
      {part.orders.length === 0 && !from && <p className="soft">{nothingYet(part.quotes)}</p>}
      {part.orders.map((order) => (
        <OneOrder key={order.id} part={part} order={order} figuresFor={figuresFor} />
      ))}
    </Section>
  );
}

function OneOrder({ part, order, figuresFor }: { part: Part; order: Order; figuresFor: string }) {
  const restoration = useRestoration();
  const open = useOpen();
  const own = isOwnWork(order.quote);
  const facts: [string, string | null][] = [
    [own ? "Begun" : "Placed", dateInFull(order.placedOn)],
    ["Promised", dateInFull(order.promisedOn)],
    ["Now expected", order.expectedOn && dateInFull(order.expectedOn)],
    [own ? "Ready" : "Arrived", order.arrivedOn && dateInFull(order.arrivedOn)],
    [
      "Fit",
      order.fitRating === null
        ? null
        : (FIT_RATING[order.fitRating as keyof typeof FIT_RATING] ?? String(order.fitRating)),
    ],
    ["How many", plainNumber(order.quantity)],
    ["Total", money(order.total)],
    ["Paid", money(order.paid)],
    ["Notes", order.notes || null],
  ];
  return (
    <article className="order" aria-label={`Order ${order.code}`}>
      <div className="headline">
        <h3>
          <Code noun="Order" of={order.code} /> {own ? "at" : "from"}{" "}
          <Link to={addressOf.supplier(restoration.id, order.quote.supplier.id)}>{order.quote.supplier.name}</Link>
        </h3>
        <OrderMark order={order} own={own} />
      </div>
      <dl className="order-facts">
        {facts.map(
          ([name, value]) =>
            value && (
              <div key={name} className={name === "Notes" ? "wide" : undefined}>
                <dt>{name}</dt>
                <dd>{value}</dd>
              </div>
            ),
        )}
      </dl>
      <OrderButtons order={order} open={open} />
      {open.has("arrived") && (
        <Opened>
          <Arrival order={order} figuresFor={figuresFor} onDone={() => open.close("arrived")} />
        </Opened>
      )}
      {open.has("expected") && (
        <Opened>
          <Expected order={order} onDone={() => open.close("expected")} />
        </Opened>
      )}
      {open.has("fit") && (
        <Opened>
          <FitRating order={order} figuresFor={figuresFor} onDone={() => open.close("fit")} />
        </Opened>
      )}
      {open.has("back") && (
        <Opened>
          <SendBack order={order} figuresFor={figuresFor} onDone={() => open.close("back")} />
        </Opened>
      )}
      {open.has("edit") && (
        <Opened>
          <EditOrder part={part} order={order} onDone={() => open.close("edit")} />
        </Opened>
      )}
      <Payments of={paidForOrder(order)} payments={order.payments} figuresFor={figuresFor} open={open} />
    </article>
  );
}

const paidForOrder = ({ id, code, total }: Order): PaidFor => ({
  field: "order",
  id,
  words: `order ${code}`,
  price: total,
});

function OrderButtons({ order, open }: { order: Order; open: Open }) {
  const unseen = <span className="unseen"> order {order.code}</span>;
  return (
    <div className="row no-print">
      {order.state === "PLACED" && (
        <>
          <OpenButton of={open} opens="arrived">
            {isOwnWork(order.quote) ? "It is ready" : "It has arrived"}
            {unseen}
          </OpenButton>
          <OpenButton of={open} opens="expected">
            Another date{unseen}
          </OpenButton>
        </>
      )}
      {(order.state === "ARRIVED" || order.state === "SENT_BACK") && (
        <OpenButton of={open} opens="fit">
          Accept{unseen}
        </OpenButton>
      )}
      {(order.state === "ARRIVED" || order.state === "ACCEPTED") && (
        <OpenButton of={open} opens="back">
          Send back{unseen}
        </OpenButton>
      )}
      <OpenButton of={open} opens={paymentOf(order)}>
        Add a payment<span className="unseen"> to order {order.code}</span>
      </OpenButton>
      <OpenButton of={open} opens="edit">
        Change{unseen}
      </OpenButton>
      <RemoveButton row="ORDER" id={order.id} revision={order.revision} what={`order ${order.code}`} />
    </div>
  );
}
