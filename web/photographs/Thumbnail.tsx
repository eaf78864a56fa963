import { useState } from "react";

interface ThumbnailProps {
  smallPath: string;
  alt: string;
  onOpen: () => void;
}

/** A small picture that opens the large one; its name is what the picture shows. */
export function Thumbnail({ smallPath, alt, onOpen }: ThumbnailProps) {
  const [missing, setMissing] = useState(false);
  return (
    <button type="button" className="photograph-open on-paper-too" onClick={onOpen}>
      {missing ? (
        <span>{alt}: its file is not on the server.</span>
      ) : (
        <img src={smallPath} alt={alt} loading="lazy" onError={() => setMissing(true)} />
      )}
    </button>
  );
}
