import { type RefObject, useLayoutEffect, useRef, useState } from "react";

/** The width in pixels of the element that the ref is given to, as it changes; 0 before it is first measured. */
export function useWidth<Kind extends HTMLElement = HTMLDivElement>(): [RefObject<Kind | null>, number] {
  const frame = useRef<Kind>(null);
  const [width, setWidth] = useState(0);
  useLayoutEffect(() => {
    const element = frame.current;
    if (!element) return;
    setWidth(element.clientWidth);
    const watch = new ResizeObserver(() => setWidth(element.clientWidth));
    watch.observe(element);
    return () => watch.disconnect();
  }, []);
  return [frame, width];
}
