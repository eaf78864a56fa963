import { useState } from "react";
import { useQuery } from "urql";
import { codeInWords } from "../shared/Code.tsx";
import { listed } from "../shared/format.ts";
import { Opened } from "../shared/Opened.tsx";
import { Problem, Section } from "../shared/Page.tsx";
import { useSave } from "../shared/save.tsx";
import { ChooseFallback, type HuntedPart, HuntFound, HuntQuery, type HuntRow, SaveHunt } from "./documents.ts";
import { FoundForm } from "./FoundForm.tsx";
import { HuntDates } from "./HuntDates.tsx";
import { HuntForm } from "./HuntForm.tsx";
import { HuntWords } from "./HuntWords.tsx";
import { SearchForm } from "./SearchForm.tsx";
import { StopDates } from "./StopDates.tsx";
import { useHuntOdds } from "./useHuntOdds.ts";
import "./hunts.css";

type Doing = "edit" | "search" | "found";

/** Looking for a part that may turn up: the belief in it, the day on which the looking stops, and what is ordered then. */
export function Hunt({ part: id, figuresFor }: { part: string; figuresFor: string }) {
  const [result, again] = useQuery({ query: HuntQuery, variables: { part: id } });
  const [doing, setDoing] = useState<Doing | null>(null);
  const part = result.data?.part;
  const hunt = part?.hunt ?? null;
  const searching = hunt?.state === "SEARCHING";
  const odds = useHuntOdds(searching ? hunt.id : null);
  if (!part)
    return result.error ? (
      <Section title="Hunt" id="hunt">
        <Problem of={result.error} what="the hunt" again={() => again({ requestPolicy: "network-only" })} />
      </Section>
    ) : null;
  const done = () => setDoing(null);
  return (
    <Section title="Hunt" id="hunt" aside={doing === null && <Actions part={part} hunt={hunt} onDo={setDoing} />}>
      {doing === "edit" && (
        <Opened>
          <HuntForm part={part} hunt={hunt} figuresFor={figuresFor} onDone={done} />
        </Opened>
      )}
      {doing === "search" && hunt && (
        <Opened>
          <SearchForm hunt={hunt} figuresFor={figuresFor} onDone={done} />
        </Opened>
      )}
      {doing === "found" && hunt && (
        <Opened>
          <FoundForm hunt={hunt} onDone={done} />
        </Opened>
      )}
      <p className="prose">
        {hunt ? (
          <HuntWords
            hunt={hunt}
            // What the owner declined is not ordered.
            fallback={part.fallbackQuote !== null && part.fallbackQuote.asked !== "DECLINED"}
            figuresFor={figuresFor}
            odds={odds}
          />
        ) : (
          "Nobody is looking for it beyond the quotes above."
        )}
      </p>
      {hunt && hunt.state !== "FOUND" && <Fallback part={part} />}
      {hunt && hunt.state !== "FOUND" && part.fallbackQuote && hunt.fallbackDoubts.length > 0 && (
        <p className="late prose">
          Its fallback, {codeInWords("quote", part.fallbackQuote.code)}, {listed(hunt.fallbackDoubts)}.
        </p>
      )}
      {hunt && hunt.events.length > 0 && <HuntDates events={hunt.events} figuresFor={figuresFor} />}
      {searching && hunt.outlook && hunt.outlook.stops.length > 1 && (
        <StopDates outlook={hunt.outlook} stopDate={hunt.stopDate} odds={odds} />
      )}
    </Section>
  );
}

function Actions({ part, hunt, onDo }: { part: HuntedPart; hunt: HuntRow | null; onDo: (doing: Doing) => void }) {
  const { save } = useSave();
  const edit = (
    <button type="button" onClick={() => onDo("edit")}>
      {hunt ? "Change the hunt" : "Begin a hunt"}
    </button>
  );
  if (!hunt || hunt.state === "FOUND") return edit;
  const as = (state: "SEARCHING" | "STOPPED") =>
    void save(SaveHunt, { input: { id: hunt.id, revision: hunt.revision, state } });
  if (hunt.state === "STOPPED")
    return (
      <>
        <button type="button" onClick={() => as("SEARCHING")}>
          Look again
        </button>
        {edit}
      </>
    );
  return (
    <>
      <button type="button" onClick={() => onDo("search")}>
        Searched, nothing found
      </button>
      <button type="button" onClick={() => onDo("found")}>
        Found, to be bought
      </button>
      <button
        type="button"
        onClick={() => void save(HuntFound, { hunt: hunt.id, revision: hunt.revision, inHand: true })}
      >
        Found, and in hand
      </button>
      {part.fallbackQuote && (
        <button type="button" onClick={() => as("STOPPED")}>
          Stop now
        </button>
      )}
      {edit}
    </>
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
              {codeInWords("quote", code)}, {supplier.name}
            </option>
          ))}
        </select>
      </div>
    </div>
  );
}
