import { type ReactNode, useEffect, useId, useRef } from "react";

interface DialogProps {
  open: boolean;
  title: string;
  /** Called for Escape and for every other way of closing. */
  onClose: () => void;
  children: ReactNode;
}

/** A sheet laid over the sheet. Keeps the focus inside, closes with Escape, and gives the focus back to where it came from. */
export function Dialog({ open, title, onClose, children }: DialogProps) {
  const element = useRef<HTMLDialogElement>(null);
  const heading = useId();
  useEffect(() => {
    const dialog = element.current;
    if (!dialog || !open) return;
    const cameFrom = document.activeElement;
    dialog.showModal();
    return () => {
      dialog.close();
      if (cameFrom instanceof HTMLElement && cameFrom.isConnected) cameFrom.focus();
    };
  }, [open]);
  return (
    <dialog
      ref={element}
      aria-labelledby={heading}
      onCancel={(event) => {
        event.preventDefault();
        onClose();
      }}
    >
      {open && (
        <>
          <h2 id={heading}>{title}</h2>
          {children}
        </>
      )}
    </dialog>
  );
}
