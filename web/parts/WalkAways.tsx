import { Link } from "react-router";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { addressOf } from "../shared/addresses.ts";
import { useDayInView } from "../shared/dayInView.ts";
import { counted, days, listed, money } from "../shared/format.ts";
import { Problem, Section } from "../shared/Page.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { type Column, Table } from "../shared/Table.tsx";
import { FITS_AS_IT_IS, PROVENANCE } from "../shared/words.ts";

/** All of it is worked out at once and kept: asked for by itself, so that it does not hold up the rest of the sheet. */
const WalkAwayQuery = graphql(`
  query PartWalkAway($part: ID!) {
    part(id: $part) {
      id
      restoration { id pricePerDay { minor } pricePerPoint { minor } }
      walkAway { provenance words daysSaved pointsDifference price { minor currency decimals } }
    }
  }
`);

interface WalkAway {
  provenance: keyof typeof PROVENANCE;
  words: string;
  daysSaved: number | null;
  pointsDifference: number | null;
  price: { minor: number; currency: string; decimals: number } | null;
}

/** Provenances that are worth the same. */
interface Alike extends WalkAway {
  key: string;
  provenances: string;
}

const COLUMNS: Column<Alike>[] = [
  { id: "provenance", title: "Provenance", lead: true, cell: ({ provenances }) => provenances },
  {
    id: "price",
    title: "Walk away above",
    numeric: true,
    cell: ({ price }) => (price ? <strong className="money">{money(price)}</strong> : "no limit"),
  },
  { id: "gain", title: "What the best plan with it gains", cell: gainOf },
];

/** The most that is worth paying today for the part, by provenance, given what the alternatives cost. */
export function WalkAways({ part, ordered }: { part: string; ordered: boolean }) {
  const restoration = useRestoration();
  const { word } = useDayInView();
  const [result, again] = useQuery({ query: WalkAwayQuery, variables: { part } });
  const found = result.data?.part;
  if (!found)
    return (
      <Section title="Walk-away price" id="walk-away">
        {result.error ? (
          <Problem
            of={result.error}
            what="the walk-away prices"
            again={() => again({ requestPolicy: "network-only" })}
          />
        ) : (
          <p className="soft" role="status">
            Weighing it against every other choice …
          </p>
        )}
      </Section>
    );
  if (found.walkAway.length === 0) return null;
  const { pricePerDay, pricePerPoint } = found.restoration;
  const unpriced = [pricePerDay === null && "a day", pricePerPoint === null && "a point"].filter(
    (word): word is string => word !== false,
  );
  return (
    <Section title="Walk-away price" id="walk-away">
      <p className="prose">
        The most that is worth paying {word}, landed, if one is offered, given what the other choices cost in money,
        days and points. {FITS_AS_IT_IS} {ordered && "It is on order: what was ordered is still paid for. "}
        {unpriced.length > 0 && (
          <>
            No price is set for {listed(unpriced)}, so {unpriced.length === 1 ? "that counts" : "these count"} for
            nothing: <Link to={addressOf.restoration(restoration.id)}>set it with the restoration</Link>.
          </>
        )}
      </p>
      <Table
        caption="Walk-away prices by provenance"
        rows={alike(found.walkAway)}
        columns={COLUMNS}
        rowKey={({ key }) => key}
      />
    </Section>
  );
}

/** Without a price the server says why; with one, what the price stands for. */
function gainOf({ price, words, daysSaved, pointsDifference }: Alike): string {
  if (!price || price.minor === 0) return words;
  const gains = [
    daysSaved ? `${days(Math.abs(daysSaved))} ${daysSaved > 0 ? "sooner ready" : "later ready"}` : "",
    pointsDifference
      ? `${counted(Math.abs(pointsDifference), "point")} ${pointsDifference > 0 ? "more" : "fewer"} lost`
      : "",
  ].filter(Boolean);
  return gains.length > 0 ? listed(gains) : "only what the others would cost";
}

function alike(all: readonly WalkAway[]): Alike[] {
  const found = new Map<string, WalkAway[]>();
  for (const one of all) {
    const key = `${one.price?.minor} ${one.words}`;
    found.set(key, [...(found.get(key) ?? []), one]);
  }
  return [...found].flatMap(([key, ones]) => {
    const [first] = ones;
    return first ? [{ ...first, key, provenances: namesOf(ones) }] : [];
  });
}

function namesOf(ones: readonly WalkAway[]): string {
  return ones.length === Object.keys(PROVENANCE).length
    ? "whatever its provenance"
    : listed(ones.map(({ provenance }) => PROVENANCE[provenance]));
}
