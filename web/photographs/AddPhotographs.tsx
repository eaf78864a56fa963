import { type DragEvent, useId, useState } from "react";
import type { Subject } from "./photograph.ts";

const KINDS = "image/jpeg,image/png,image/webp,image/avif";

interface AddPhotographsProps {
  /** What they may be of; the first unless another is chosen. */
  of: readonly Subject[];
  onAdd: (subject: Subject, pictures: readonly File[]) => void;
}

/** Photographs taken now, chosen, or dropped here; several at once. */
export function AddPhotographs({ of, onAdd }: AddPhotographsProps) {
  const id = useId();
  const [over, setOver] = useState(false);
  const [chosen, setChosen] = useState("");
  const subject = of.find((one) => one.id === chosen) ?? of[0];
  const add = (files: FileList | null) => {
    if (files && files.length > 0 && subject) onAdd(subject, [...files]);
  };
  const drop = (event: DragEvent) => {
    event.preventDefault();
    setOver(false);
    add(event.dataTransfer.files);
  };
  const input = (kind: "camera" | "files") => (
    <div className="field">
      <label htmlFor={`${id}-${kind}`}>{kind === "camera" ? "Take a photograph" : "Choose photographs"}</label>
      <input
        id={`${id}-${kind}`}
        type="file"
        accept={KINDS}
        {...(kind === "camera" ? { capture: "environment" } : { multiple: true })}
        onChange={(event) => {
          add(event.target.files);
          // So that the same picture can be chosen again.
          event.target.value = "";
        }}
      />
    </div>
  );
  return (
    // biome-ignore lint/a11y/noStaticElementInteractions: dropping is a second way; the fields inside take files by keyboard
    <div
      className={`photograph-drop no-print${over ? " over" : ""}`}
      onDragOver={(event) => {
        event.preventDefault();
        setOver(true);
      }}
      onDragLeave={() => setOver(false)}
      onDrop={drop}
    >
      {of.length > 1 && (
        <div className="field">
          <label htmlFor={`${id}-of`}>New ones are of</label>
          <select id={`${id}-of`} value={subject?.id} onChange={(event) => setChosen(event.target.value)}>
            {of.map((one) => (
              <option key={one.id} value={one.id}>
                {one.name}
              </option>
            ))}
          </select>
        </div>
      )}
      {input("camera")}
      {input("files")}
      <p className="soft small">
        Or drop them here. JPEG, PNG, WebP or AVIF, up to 25 MiB each; the place and the camera are not kept.
      </p>
    </div>
  );
}
