import { Link, useSearchParams } from "react-router";
import { useQuery } from "urql";
import { graphql } from "../client.ts";
import { addressOf } from "../shared/addresses.ts";
import { plainNumber } from "../shared/format.ts";
import { Loading, Page, Section, wordsOf } from "../shared/Page.tsx";
import { useRestoration } from "../shared/restoration.ts";
import { Measurement } from "./Measurement.tsx";
import { type Measured, measuredIn } from "./measured.ts";
import { sentenceOf, type ThreadMatch, ThreadTable } from "./ThreadTable.tsx";
import "./threads.css";

const ThreadQuery = graphql(`
  query Thread(
    $diameter: Float!, $pitch: Float, $perInch: Float, $unit: LengthUnit, $tolerance: Float, $wear: Float, $angle: Float
  ) {
    thread(
      diameter: $diameter, pitch: $pitch, perInch: $perInch, unit: $unit, tolerance: $tolerance, wear: $wear, angle: $angle
    ) {
      verdict words
      matches { name family standard diameter pitch perInch angle diameterOff pitchOff }
      nearest { name family standard diameter pitch perInch angle diameterOff pitchOff }
      tellApart { by threads words }
    }
  }
`);

/** Which standard thread a measurement may be. All that was measured stands in the address. */
export default function ThreadsPage() {
  const restoration = useRestoration();
  const [params] = useSearchParams();
  const measured = measuredIn(params);
  const aside = (
    <Link className="button" to={addressOf.parts(restoration.id)}>
      All parts
    </Link>
  );
  if (!measured.asked)
    return (
      <Page
        title="Which thread is it?"
        aside={aside}
        sentence="Measure the outside diameter over an unworn stretch, and lay a rule over several threads: the standard threads that it may be are named here."
      >
        <Measurement measured={measured} />
      </Page>
    );
  return <Asked measured={measured} asked={measured.asked} aside={aside} />;
}

interface AskedProps {
  measured: Measured;
  asked: NonNullable<Measured["asked"]>;
  aside: React.ReactNode;
}

function Asked({ measured, asked, aside }: AskedProps) {
  const [{ data, error, fetching }] = useQuery({ query: ThreadQuery, variables: asked });
  const found = data?.thread;
  const wrong = error && !fetching ? error : null;
  const told = (wrong?.graphQLErrors ?? []).flatMap(
    ({ extensions }) => (extensions["faults"] as { field: string; message: string }[] | undefined) ?? [],
  );
  const rows: readonly ThreadMatch[] = found ? (found.matches.length > 0 ? found.matches : found.nearest) : [];
  return (
    <Page
      title="Which thread is it?"
      aside={aside}
      sentence={
        wrong
          ? told.length > 0
            ? "No thread can be measured so."
            : wordsOf(wrong)
          : found
            ? sentenceOf(found)
            : undefined
      }
    >
      <Measurement measured={measured} faults={told} />
      {!found ? (
        !wrong && <Loading what="the threads" />
      ) : (
        <>
          {rows.length > 0 && (
            <Section title={found.matches.length > 0 ? "What it may be" : "The closest"}>
              <ThreadTable rows={rows} />
            </Section>
          )}
          {found.tellApart.length > 0 && (
            <Section title="How to tell them apart">
              <ul className="apart">
                {found.tellApart.map((one) => (
                  <li key={`${one.threads.join(" ")} ${one.by}`}>
                    <strong>{one.threads.join(" or ")}</strong>
                    <span>{one.words}</span>
                  </li>
                ))}
              </ul>
            </Section>
          )}
          <p className="soft small">
            Lengths are nominal, in millimetres; {plainNumber(rows.length)} shown, the closest first.
          </p>
        </>
      )}
    </Page>
  );
}
