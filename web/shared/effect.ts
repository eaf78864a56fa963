/** What a choice does to the end, the money, the hours at the bench and the points: read once, said alike everywhere. */
import type { ResultOf } from "gql.tada";
import { graphql } from "../client.ts";
import { counted, dateInFull, days, daysBetween, hours, money, plainNumber } from "./format.ts";

export const EffectParts = graphql(`
  fragment EffectParts on Effect @_unmask {
    before { date hours pointsLost cost { minor currency decimals } }
    after { date hours pointsLost cost { minor currency decimals } }
  }
`);

export type Effect = ResultOf<typeof EffectParts>;

/** What choosing each quote of a part, remedy of a snag or way of an operation would do; option null: none of them. */
export const ChoiceEffectsQuery = graphql(
  `
  query ChoiceEffects($kind: ChoiceKind!, $row: ID!) {
    choiceEffects(kind: $kind, row: $row) { option effect { ...EffectParts } }
  }
`,
  [EffectParts],
);

/** What a change did that chose something, or ranked the machines; null and none for any other. */
export const ChangeEffectQuery = graphql(
  `
  query ChangeEffect($change: ID!) {
    changeEffect(change: $change) { ...EffectParts }
    changeEnds(change: $change) { restoration { id machine } before after }
  }
`,
  [EffectParts],
);

/** What a change did, in the half of a sentence; null where it chose nothing. */
export function didWords({ changeEffect, changeEnds }: ResultOf<typeof ChangeEffectQuery>): string | null {
  if (changeEffect) {
    const { end, rest } = effectWords(changeEffect);
    return `${end}; ${rest}`;
  }
  const ends = changeEnds.flatMap(({ restoration: { machine }, before, after }) =>
    before === null || after === null
      ? []
      : [
          `${machine} ready ${before === after ? "the same day" : `on ${dateInFull(after)}, ${laterOrSooner(before, after)}`}`,
        ],
  );
  return ends.length > 0 ? ends.join("; ") : null;
}

const laterOrSooner = (before: string, after: string): string => {
  const later = daysBetween(before, after);
  return `${days(Math.abs(later))} ${later > 0 ? "later" : "sooner"}`;
};

const signed = (value: number, said: string): string => `${value > 0 ? "+" : "−"}${said}`;

/** The money that it costs more, or less; null where a rate is missing. */
function moreMoney({ before, after }: Effect) {
  if (before.cost === null || after.cost === null) return null;
  return { ...after.cost, minor: after.cost.minor - before.cost.minor };
}

const hundredths = (value: number): number => Math.round(value * 100) / 100;

/** Each of the four against what stands, for a cell: "9 days later", "+£128.00", "+34 h", "4 more lost"; `same` where it stays. */
export function effectCells(effect: Effect) {
  const { before, after } = effect;
  const later = daysBetween(before.date, after.date);
  const more = moreMoney(effect);
  const work = hundredths(after.hours - before.hours);
  const lost = hundredths(after.pointsLost - before.pointsLost);
  return {
    end: {
      same: later === 0,
      said: later === 0 ? "same day" : laterOrSooner(before.date, after.date),
    },
    money:
      more === null
        ? { same: true, said: "not known" }
        : {
            same: more.minor === 0,
            said: more.minor === 0 ? "the same" : signed(more.minor, money({ ...more, minor: Math.abs(more.minor) })),
          },
    hours: { same: work === 0, said: work === 0 ? "±0 h" : signed(work, hours(Math.abs(work))) },
    points: {
      same: lost === 0,
      said: lost === 0 ? "±0" : `${plainNumber(Math.abs(lost))} ${lost > 0 ? "more lost" : "fewer lost"}`,
    },
  };
}

/** All four in the half of a sentence: the end first, then what else it does. */
export function effectWords(effect: Effect): { end: string; rest: string } {
  const { before, after } = effect;
  const later = daysBetween(before.date, after.date);
  const more = moreMoney(effect);
  const work = hundredths(after.hours - before.hours);
  const lost = hundredths(after.pointsLost - before.pointsLost);
  return {
    end:
      later === 0
        ? `ready the same day, ${dateInFull(after.date)}`
        : `ready on ${dateInFull(after.date)}, ${laterOrSooner(before.date, after.date)}`,
    rest: [
      more === null
        ? "what it costs cannot be told: a rate is missing"
        : more.minor === 0
          ? "the same money"
          : `${money({ ...more, minor: Math.abs(more.minor) })} ${more.minor > 0 ? "more" : "less"}`,
      work === 0 ? "no more hours" : `${hours(Math.abs(work))} ${work > 0 ? "more" : "less"} at the bench`,
      lost === 0 ? "no more points lost" : `${counted(Math.abs(lost), "point")} ${lost > 0 ? "more" : "fewer"} lost`,
    ].join("; "),
  };
}
