import { useSave } from "../shared/save.tsx";
import { type Hand, JoinHands, SaveHand } from "./hand.ts";

/** Asks of a line of one trade whether it is another line's person; one press answers. */
export function SamePerson({ hand, others }: { hand: Hand; others: readonly Hand[] }) {
  const { save, saving } = useSave();
  const { id, revision } = hand;
  return (
    <fieldset className="same-person no-print">
      <legend>Is this the same person as …?</legend>
      <div className="row">
        {others.map((other) => (
          <button
            key={other.id}
            type="button"
            disabled={saving}
            onClick={() => void save(JoinHands, { hand: id, revision, as: other.id, asRevision: other.revision })}
          >
            {other.name}
            <span className="unseen"> is the same person as {hand.name}</span>
          </button>
        ))}
        <button
          type="button"
          disabled={saving}
          onClick={() => void save(SaveHand, { input: { id, revision, askSame: false } })}
        >
          Nobody else<span className="unseen"> is the same person as {hand.name}</span>
        </button>
      </div>
    </fieldset>
  );
}
