import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { useDayInView } from "../shared/dayInView.ts";
import { dateInFull, money } from "../shared/format.ts";
import { Line } from "../shared/Lines.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { useMay } from "../shared/useMay.ts";
import { isOwnWork } from "../shared/words.ts";
import { type HoldUpsData, isHunted } from "./rows.ts";
import { WhyLink } from "./WhyLink.tsx";

type OrderRow = HoldUpsData["soon"]["edges"][number]["node"];

interface OrderLineProps {
  row: OrderRow;
  figuresFor: string;
  /** Begins with what to do. */
  act?: boolean;
  /** It is what matters most on the sheet. */
  main?: boolean;
}

/** One thing to order: from whom, what it costs, what stands in the way and by when. */
export function OrderLine({ row, figuresFor, act, main }: OrderLineProps) {
  const { inDays, alone } = useDayInView(figuresFor);
  const { id } = useRestoration();
  const may = useMay();
  const { quote, remedy, consent, quoteDoubts, orderBy, daysLeft } = row;
  const supplier = quote?.supplier ?? remedy?.supplier;
  const cost = quote ? quote.landed?.total : remedy?.price;
  const due = daysLeft !== null && daysLeft <= 0;
  return (
    <Line
      {...(act ? { act: actOf(row) } : {})}
      name={<WhyLink id={row.id}>{row.title}</WhyLink>}
      more={supplier && ` from ${supplier.name}`}
      also={
        <>
          {cost && <span className="nowrap">{money(cost)}</span>}
          {consent && (
            <>
              {cost && "; "}
              <span className="brass">{consent}</span>
            </>
          )}
          {quoteDoubts?.map((doubt) => (
            <span key={doubt} className="red-lead">
              ; the quote {doubt}
            </span>
          ))}
        </>
      }
      when={
        daysLeft === null
          ? isHunted(row) && row.huntedUntil
            ? `hunted until ${dateInFull(row.huntedUntil)}`
            : "at once"
          : due || !orderBy
            ? alone(daysLeft)
            : `by ${dateInFull(orderBy)}, ${inDays(daysLeft)}`
      }
      {...(due || daysLeft === null ? { colour: "red-lead" as const } : {})}
      button={
        may("Mutation.saveOrder") && (
          <Link className={main ? "button main" : "button"} to={placeOf(id, row)}>
            {actOf(row)} <span className="unseen">{row.title}</span>
          </Link>
        )
      }
    />
  );
}

/** Where it is done: the form of the order, or the quotes to choose from. */
function placeOf(restoration: string, row: OrderRow): string {
  const { decided, part } = row;
  if (!part) return addressOf.snags(restoration);
  return decided && !isHunted(row)
    ? addressOf.orderFor(restoration, part.id)
    : `${addressOf.part(restoration, part.id)}#quotes`;
}

const actOf = ({ decided, part, quote }: OrderRow): string =>
  !decided ? "Decide" : !part ? "Carry out" : quote && isOwnWork(quote) ? "Make" : "Order";
