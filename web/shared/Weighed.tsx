import type { VariablesOf } from "gql.tada";
import { type ReactNode, useEffect, useRef } from "react";
import { useQuery } from "urql";
import { ChoiceEffectsQuery, type Effect, effectWords } from "./effect.ts";

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
