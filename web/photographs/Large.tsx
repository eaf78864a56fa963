import { type KeyboardEvent, useState } from "react";
import { Dialog } from "../shared/Dialog.tsx";

export interface Shown {
  id: string;
  path: string;
  width: number;
  height: number;
  alt: string;
  /** Said under it. */
  words: string;
}

interface LargeProps {
  of: readonly Shown[];
  /** The one that is open; null for none. */
  open: string | null;
  onOpen: (id: string | null) => void;
}

/** One photograph as large as the window allows, and the ones beside it by the arrow keys. */
export function Large({ of, open, onOpen }: LargeProps) {
  const [failed, setFailed] = useState<string | null>(null);
  const at = of.findIndex(({ id }) => id === open);
  const shown = of[at];
  const turn = (by: number) => {
    const next = of[at + by];
    if (next) onOpen(next.id);
  };
  const byKey = (event: KeyboardEvent) => {
    if (event.key === "ArrowRight") turn(1);
    else if (event.key === "ArrowLeft") turn(-1);
  };
  return (
    <Dialog open={shown !== undefined} title={shown?.alt ?? ""} onClose={() => onOpen(null)}>
      {shown && (
        // biome-ignore lint/a11y/noStaticElementInteractions: the keys do what the buttons below do
        <div className="photograph-large" onKeyDown={byKey}>
          {failed === shown.id ? (
            <p className="form-problem" role="alert">
              The file of this photograph is not on the server. What is said of it is kept.
            </p>
          ) : (
            <img
              src={shown.path}
              alt={shown.alt}
              width={shown.width}
              height={shown.height}
              onError={() => setFailed(shown.id)}
            />
          )}
          <p className="soft">
            {shown.words} · {at + 1} of {of.length}
          </p>
          <div className="dialog-foot">
            <button type="button" disabled={at === 0} onClick={() => turn(-1)}>
              Previous
            </button>
            <button type="button" disabled={at === of.length - 1} onClick={() => turn(1)}>
              Next
            </button>
            <button type="button" className="main" onClick={() => onOpen(null)}>
              Close<span className="unseen"> the photograph</span>
            </button>
          </div>
        </div>
      )}
    </Dialog>
  );
}
