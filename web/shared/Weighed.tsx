import type { VariablesOf } from "gql.tada";
import { type ReactNode, useEffect, useRef, useState } from "react";
import { useQuery } from "urql";
import { ChoiceEffectsQuery, type Effect, effectWords } from "./effect.ts";
import type { SaveOutcome } from "./save.tsx";

/** What each option of a choice would do against what stands now; undefined while that is worked out, or where there is no plan. */
export function useChoiceEffects({ kind, row }: VariablesOf<typeof ChoiceEffectsQuery>) {
  const [{ data, stale }] = useQuery({ query: ChoiceEffectsQuery, variables: { kind, row } });
  const effects = stale ? undefined : data?.choiceEffects;
  return (option: string | null): Effect | undefined => effects?.find((one) => one.option === option)?.effect;
}

/** What something would do, the end first: the rest of a sentence. */
export function EffectWords({ effect }: { effect: Effect | undefined }) {
  if (!effect) return "working out what it does …";
  const { end, rest } = effectWords(effect);
  return (
    <>
      <strong>{end}</strong>; {rest}.
    </>
  );
}

interface WeighedProps {
  /** What is weighed, as the sentence begins: "Larkspindle Early Motors instead". */
  title: string;
  effect: Effect | undefined;
  /** What else there is to say. */
  more?: ReactNode;
  choosing: boolean;
  onChoose: () => void;
  onLeave: () => void;
  /** Words on the button: "Choose it". */
  chooseLabel?: string;
}

/** What a choice would do, in one sentence before it is made. */
export function Weighed({ title, effect, more, choosing, onChoose, onLeave, chooseLabel = "Choose it" }: WeighedProps) {
  const choose = useRef<HTMLButtonElement>(null);
  useEffect(() => {
    const cameFrom = document.activeElement;
    choose.current?.focus();
    return () => {
      if (cameFrom instanceof HTMLElement && cameFrom.isConnected) cameFrom.focus();
    };
  }, []);
  return (
    <section className="weigh no-print" aria-label={title}>
      <p aria-live="polite">
        {title}: <EffectWords effect={effect} />
        {more && <> {more}</>}
      </p>
      <div className="row">
        <button type="button" className="main" ref={choose} disabled={choosing} onClick={onChoose}>
          {chooseLabel}
        </button>
        <button type="button" onClick={onLeave}>
          Leave it
        </button>
      </div>
    </section>
  );
}

interface Weighable {
  id: string;
  chosen: boolean;
}

/** One option of a choice weighed at a time, the chosen one as taken back; it is made once that was read. */
export function useWeighing(
  of: VariablesOf<typeof ChoiceEffectsQuery>,
  choose: (option: string | null) => Promise<SaveOutcome>,
) {
  const [weighing, weigh] = useState<string | null>(null);
  const effectOf = useChoiceEffects(of);
  return {
    effectOf,
    isWeighed: ({ id }: Weighable) => weighing === id,
    weigh: ({ id }: Weighable) => weigh(id),
    leave: () => weigh(null),
    make: async ({ id, chosen }: Weighable) => {
      const outcome = await choose(chosen ? null : id);
      if (outcome.kind === "saved") weigh(null);
    },
  };
}

interface OptionProps {
  of: ReturnType<typeof useWeighing>;
  option: Weighable;
  /** What it is called. */
  name: string;
  /** It takes the place of another. */
  instead?: boolean;
  choosing: boolean;
}

/** What choosing an option would do, or taking the choice of it back; nothing while it is not weighed. */
export function WeighedOption({ of, option, name, instead = false, choosing }: OptionProps) {
  if (!of.isWeighed(option)) return null;
  return (
    <Weighed
      key={`${option.id} ${option.chosen}`}
      title={option.chosen ? `${name} no longer chosen` : `${name}${instead ? " instead" : ""}`}
      effect={of.effectOf(option.chosen ? null : option.id)}
      choosing={choosing}
      onChoose={() => void of.make(option)}
      onLeave={of.leave}
      chooseLabel={option.chosen ? "Take it back" : "Choose it"}
    />
  );
}
