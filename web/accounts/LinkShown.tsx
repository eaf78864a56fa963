import { useEffect, useRef, useState } from "react";

/** A link that is told once, to be copied and handed out. */
export function LinkShown({ path, name, onClose }: { path: string; name: string; onClose: () => void }) {
  const field = useRef<HTMLInputElement>(null);
  const [copied, setCopied] = useState("");
  const link = `${window.location.origin}${path}`;
  useEffect(() => {
    setCopied("");
    if (link) field.current?.select();
  }, [link]);
  const copy = async () => {
    field.current?.select();
    try {
      await navigator.clipboard.writeText(link);
      setCopied("Copied.");
    } catch {
      setCopied("This browser does not allow copying here: the link is selected, so copy it by hand.");
    }
  };
  return (
    <section className="link-shown" aria-label={`Link for ${name}`}>
      <p className="prose">
        Hand this link to {name || "whoever joins"}. It works once and is not shown again: a link to join lasts 14 days,
        one to reset a password 2 days.
      </p>
      <div className="field">
        <label htmlFor="link-shown">Link for {name || "whoever joins"}</label>
        <input id="link-shown" ref={field} readOnly value={link} onFocus={(event) => event.target.select()} />
      </div>
      <div className="row">
        <button type="button" className="main" onClick={() => void copy()}>
          Copy the link
        </button>
        <button type="button" onClick={onClose}>
          Close
        </button>
        <span role="status" className="soft">
          {copied}
        </span>
      </div>
    </section>
  );
}
