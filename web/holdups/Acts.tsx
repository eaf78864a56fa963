import { Fragment } from "react";
import { Link } from "react-router";
import { addressOf } from "../shared/addresses.ts";
import { dateInFull, days } from "../shared/format.ts";
import { Line, Lines } from "../shared/Lines.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { SheetLink } from "../shared/SheetLink.tsx";
import { useMay } from "../shared/useMay.ts";
import { OrderLine } from "./OrderLine.tsx";
import type { HoldUpsData } from "./rows.ts";
import { WhyLink } from "./WhyLink.tsx";

type Top = HoldUpsData["top"]["edges"][number]["node"];
type Late = HoldUpsData["late"]["edges"][number]["node"];

interface ActsProps {
  shown: HoldUpsData;
  /** How many of what is to be ordered are due within a fortnight. */
  soon: number;
}

/** The three things to do first, each with the button that leads to where it is done: what to order, whom to chase, what to look for. */
export function Acts({ shown, soon }: ActsProps) {
  const order = soon > 0 ? shown.soon.edges[0]?.node : undefined;
  const late = shown.late.edges[0]?.node;
  const open = shown.top.edges.map(({ node }) => node).filter((rung) => rung.open);
  if (!order && !late && open.length === 0) return null;
  return (
    <Lines acts label="What to do first">
      {order && <OrderLine row={order} figuresFor={shown.figuresFor} act main />}
      {late && <LateLine late={late} act />}
      {open.length > 0 && <LookFor open={open} />}
    </Lines>
  );
}

/** An order past its promise, with whom to ring. */
export function LateLine({ late: { part, supplier, daysLate, holdsUp }, act }: { late: Late; act?: boolean }) {
  const { id } = useRestoration();
  return (
    <Line
      {...(act ? { act: "Chase" } : {})}
      name={
        <SheetLink reads="Query.part" to={addressOf.part(id, part.id)}>
          {part.name}
        </SheetLink>
      }
      more={`, ${supplier.name}`}
      also={[supplier.phone, holdsUp && "holds up the end"].filter(Boolean).join("; ")}
      when={`${days(daysLate)} late`}
      colour="red-lead"
      button={
        supplier.phone ? (
          <a className="button" href={`tel:${supplier.phone.replace(/[^+\d]/g, "")}`}>
            Ring <span className="unseen">{supplier.name}</span>
          </a>
        ) : (
          supplier.email && (
            <a className="button" href={`mailto:${supplier.email}`}>
              Write <span className="unseen">to {supplier.name}</span>
            </a>
          )
        )
      }
    />
  );
}

const NAMED = 2;

/** What has no source, to be looked for; where only snags are open, for which no remedy is known. */
function LookFor({ open }: { open: readonly Top[] }) {
  const { id } = useRestoration();
  const may = useMay();
  const parts = open.filter(({ kind }) => kind === "PART");
  const wanted = parts.length > 0 ? parts : open;
  const shown = wanted.slice(0, NAMED);
  const [needBy] = wanted.flatMap((rung) => rung.needBy ?? []).sort();
  const more = wanted.length - shown.length;
  return (
    <Line
      act={parts.length > 0 ? "Look for" : "Find a remedy"}
      name={shown.map((rung, place) => (
        <Fragment key={rung.id}>
          {place > 0 && (more > 0 ? ", " : " and ")}
          <WhyLink id={rung.id}>{rung.title}</WhyLink>
        </Fragment>
      ))}
      more={more > 0 && ` and ${more} more`}
      also={needBy && `${wanted.length > 1 ? "the first is " : ""}needed by ${dateInFull(needBy)}`}
      when={wanted[0]?.lacking}
      colour="red-lead"
      button={
        may("Restoration.parts") &&
        (parts.length > 0 ? (
          <Link className="button" to={addressOf.fieldSheet(id)}>
            Field sheet
          </Link>
        ) : (
          <Link className="button" to={addressOf.snags(id)}>
            Snags
          </Link>
        ))
      }
    />
  );
}
