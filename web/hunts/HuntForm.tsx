import { useQuery } from "urql";
import { ListField } from "../parts/ListField.tsx";
import { TypedList } from "../parts/typedList.ts";
import { decimalsOf } from "../shared/currency.ts";
import { ChoiceField, DateField, MoneyField, NumberField } from "../shared/Fields.tsx";
import { Form, useFieldValue } from "../shared/Form.tsx";
import { plainNumber } from "../shared/format.ts";
import { useRestoration } from "../shared/restoration.ts";
import { useSave } from "../shared/save.tsx";
import { useSettled } from "../shared/useSettled.ts";
import { EffectWords } from "../shared/Weighed.tsx";
import { choicesOf, PROVENANCE } from "../shared/words.ts";
import { type HuntedPart, type HuntRow, SaveHunt, StopEffectQuery } from "./documents.ts";

interface HuntFormProps {
  part: HuntedPart;
  /** Null: begins one. */
  hunt: HuntRow | null;
  figuresFor: string;
  onDone: () => void;
}

interface EventRow {
  date: string;
  title: string;
  chance: string;
}

/** What another stop date would do, while it is typed. */
function StopHint({ hunt }: { hunt: HuntRow | null }) {
  const on = useSettled(useFieldValue("stopDate") as string | null);
  const moved = hunt !== null && on !== hunt.stopDate;
  const [{ data, fetching }] = useQuery({
    query: StopEffectQuery,
    variables: { hunt: hunt?.id ?? "", on },
    pause: !moved,
  });
  const effect = data?.hunt.stopEffect;
  return (
    <>
      The fallback is ordered on this day
      {moved && (fetching || effect) && (
        <>
          . If nothing is found: <EffectWords effect={fetching ? undefined : (effect ?? undefined)} />
        </>
      )}
    </>
  );
}

/** A chance in per cent, as it is typed, and back; decimals of a hundred do not come out even. */
const perCent = (chance: number): number => Number((chance * 100).toFixed(10));
const chanceOf = (percent: number): number => Number((percent / 100).toFixed(12));

/** What is believed of a hunt, when it stops, what a find is expected to be, and the dates on which it may turn up. */
export function HuntForm({ part, hunt, figuresFor, onDone }: HuntFormProps) {
  const { save } = useSave();
  const restoration = useRestoration();
  const currency = hunt?.currency ?? restoration.currency;
  const send = async ({ events, chancePerWeek, ...input }: Record<string, unknown>) => {
    const list = new TypedList("events");
    const rows = (events as EventRow[] | undefined)?.map((row, place) => ({
      date: row.date,
      title: row.title,
      chance: chanceOf(list.number(place, "chance", row.chance)),
    }));
    return (
      list.outcome() ??
      (await save(
        SaveHunt,
        {
          input: {
            ...input,
            ...(typeof chancePerWeek === "number" ? { chancePerWeek: chanceOf(chancePerWeek) } : {}),
            ...(rows ? { events: rows } : {}),
            ...(hunt ? {} : { part: part.id }),
          },
        },
        { weighed: "stopDate" in input },
      ))
    );
  };
  return (
    <Form
      label="The hunt"
      saveLabel={hunt ? "Save the hunt" : "Begin the hunt"}
      row={hunt ? { id: hunt.id, revision: hunt.revision } : null}
      initial={{
        begunOn: hunt?.begunOn ?? figuresFor,
        chancePerWeek: perCent(hunt?.chancePerWeek ?? 0.03),
        beliefWeeks: hunt?.beliefWeeks ?? 26,
        stopDate: hunt?.stopDate ?? null,
        provenance: hunt?.provenance ?? "ORIGINAL",
        leadDays: hunt?.leadDays ?? 7,
        preparationHours: hunt?.preparationHours ?? 0,
        priceMinor: hunt?.price?.minor ?? null,
        events: (hunt?.events ?? []).map(
          ({ date, title, chance }): EventRow => ({
            date,
            title,
            chance: plainNumber(perCent(chance), 6),
          }),
        ),
      }}
      onSave={send}
      onSaved={onDone}
      onCancel={onDone}
    >
      <div className="fields">
        <DateField name="begunOn" label="Begun on" />
        <NumberField name="chancePerWeek" label="Chance in a week" unit="per cent" hint="Of finding it: 5 is 1 in 20" />
        <NumberField
          name="beliefWeeks"
          label="Sure of that"
          unit="weeks"
          hint="As sure as after so many weeks of looking: the more, the less a week without a find lowers it"
        />
        <DateField name="stopDate" label="Stop date" hint={<StopHint hunt={hunt} />} />
      </div>
      <h3>What a find is expected to be</h3>
      <div className="fields">
        <ChoiceField name="provenance" label="Provenance" choices={choicesOf(PROVENANCE)} />
        <MoneyField
          name="priceMinor"
          label="A find costs about"
          hint="Landed; blank where nobody can say"
          currency={currency}
          decimals={decimalsOf(restoration, currency)}
        />
        <NumberField name="leadDays" label="From find to shop" unit="days" whole />
        <NumberField name="preparationHours" label="Work before it fits" unit="h" />
      </div>
      <h3>Swap meets and other dates</h3>
      <p className="soft">
        The chance of finding it there, in per cent: 20 is 1 in 5. A date counts until it has passed.
      </p>
      <ListField
        name="events"
        noun="date"
        blank={{ date: "", title: "", chance: "" }}
        columns={[
          { name: "date", label: "Date", date: true },
          { name: "title", label: "What is held" },
          { name: "chance", label: "Chance, %", numeric: true },
        ]}
      />
    </Form>
  );
}
