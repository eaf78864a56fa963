import { useState } from "react";
import { useQuery } from "urql";
import { DateField, MoneyField, NumberField } from "../shared/Fields.tsx";
import { Form } from "../shared/Form.tsx";
import { dateInFull, odds, plainNumber } from "../shared/format.ts";
import { Problem, Section } from "../shared/Page.tsx";
import { decimalsOf, useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { ChooseFallback, type HuntedPart, HuntFound, HuntQuery, type HuntRow, SaveHunt } from "./documents.ts";
import { StopDates } from "./StopDates.tsx";

/** Looking for a part that may turn up: the belief in it, the day on which the looking stops, and what is ordered then. */
export function Hunt({ part: id, dataDate }: { part: string; dataDate: string }) {
  const [result, again] = useQuery({ query: HuntQuery, variables: { part: id } });
  const { save } = useSave();
  const [editing, setEditing] = useState(false);
  const part = result.data?.part;
  if (!part)
    return result.error ? (
      <Section title="Hunt" id="hunt">
        <Problem of={result.error} what="the hunt" again={() => again({ requestPolicy: "network-only" })} />
      </Section>
    ) : null;
  const { hunt } = part;
  const searching = hunt?.state === "SEARCHING";
  return (
    <Section
      title="Hunt"
      id="hunt"
      aside={
        !editing && (
          <>
            {searching && (
              <button type="button" onClick={() => void save(HuntFound, { hunt: hunt.id, revision: hunt.revision })}>
                Found, and in hand
              </button>
            )}
            <button type="button" onClick={() => setEditing(true)}>
              {hunt ? "Edit the hunt" : "Begin a hunt"}
            </button>
          </>
        )
      }
    >
      {editing ? (
        <HuntForm part={part} hunt={hunt} dataDate={dataDate} onDone={() => setEditing(false)} />
      ) : (
        <p>
          {hunt ? (
            <HuntWords hunt={hunt} fallback={part.fallbackQuote !== null} />
          ) : (
            "Nobody is looking for it beyond the quotes above."
          )}
        </p>
      )}
      {hunt && <Fallback part={part} />}
      {searching && hunt.outlook && hunt.outlook.stops.length > 1 && <StopDates outlook={hunt.outlook} />}
    </Section>
  );
}

function HuntWords({ hunt, fallback }: { hunt: HuntRow; fallback: boolean }) {
  const { state, outlook, stopDate } = hunt;
  if (state === "FOUND") return "It was found; the hunt is over.";
  if (state === "STOPPED" || !outlook) return "The hunt has stopped; its fallback is what is planned.";
  return (
    <>
      {outlook.decideBy ? (
        <>
          <strong>Decide by {dateInFull(outlook.decideBy.date)}</strong>: the last day to stop looking that keeps the
          target at {odds(outlook.confidence)}.{" "}
        </>
      ) : (
        outlook.best?.chanceOfTarget != null && (
          <strong className="late">
            No stop date keeps the target at {odds(outlook.confidence)}; the best gives{" "}
            {odds(outlook.best.chanceOfTarget)}.{" "}
          </strong>
        )
      )}
      Looked for since {dateInFull(hunt.begunOn)}, {plainNumber(outlook.weeksLooked, 1)} weeks without a find: the next
      week's chance is {odds(outlook.chanceNextWeek)}
      {outlook.evenOddsDate && <>, even odds by {dateInFull(outlook.evenOddsDate)}</>}.{" "}
      {stopDate
        ? fallback
          ? `The plan reads it as not found: the fallback is ordered on ${dateInFull(stopDate)}.`
          : `It stops on ${dateInFull(stopDate)}, and nothing is chosen to be ordered then: completion stays open.`
        : "It has no stop date: completion stays open until it is found."}
    </>
  );
}

function HuntForm({
  part,
  hunt,
  dataDate,
  onDone,
}: {
  part: HuntedPart;
  hunt: HuntRow | null;
  dataDate: string;
  onDone: () => void;
}) {
  const { save } = useSave();
  const restoration = useRestoration();
  const currency = hunt?.currency ?? restoration.currency;
  return (
    <Form
      label="The hunt"
      saveLabel={hunt ? "Save the hunt" : "Begin the hunt"}
      row={hunt ? { id: hunt.id, revision: hunt.revision } : null}
      initial={{
        begunOn: hunt?.begunOn ?? dataDate,
        chancePerWeek: hunt?.chancePerWeek ?? 0.03,
        beliefWeeks: hunt?.beliefWeeks ?? 26,
        stopDate: hunt?.stopDate ?? null,
        leadDays: hunt?.leadDays ?? 7,
        priceMinor: hunt?.price?.minor ?? null,
      }}
      onSave={(input) => save(SaveHunt, { input: hunt ? input : { ...input, part: part.id } })}
      onSaved={onDone}
      onCancel={onDone}
    >
      <div className="fields">
        <DateField name="begunOn" label="Begun on" />
        <NumberField
          name="chancePerWeek"
          label="Chance in a week"
          hint="Of finding it, as a fraction: 0.05 is 1 in 20"
        />
        <NumberField
          name="beliefWeeks"
          label="Belief is worth"
          unit="weeks"
          hint="The more, the less a fruitless week lowers it"
        />
        <DateField name="stopDate" label="Stop date" hint="The fallback is ordered on this day" />
        <NumberField name="leadDays" label="From find to shop" unit="days" whole />
        <MoneyField
          name="priceMinor"
          label="A find costs about"
          hint="Landed; blank where nobody can say"
          currency={currency}
          decimals={decimalsOf(restoration, currency)}
        />
      </div>
    </Form>
  );
}

function Fallback({ part }: { part: HuntedPart }) {
  const { save } = useSave();
  return (
    <div className="fields no-print">
      <div className="field">
        <label htmlFor="hunt-fallback">Fallback</label>
        <select
          id="hunt-fallback"
          value={part.fallbackQuote?.id ?? ""}
          onChange={(event) =>
            void save(ChooseFallback, { part: part.id, quote: event.target.value || null, revision: part.revision })
          }
        >
          <option value="">none</option>
          {part.quotes.map(({ id, code, supplier }) => (
            <option key={id} value={id}>
              {code}, {supplier.name}
            </option>
          ))}
        </select>
      </div>
    </div>
  );
}
