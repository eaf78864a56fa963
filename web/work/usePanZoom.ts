import { type RefObject, useCallback, useEffect, useRef } from "react";
import { BOX, type Layout } from "./layout.ts";

const LEAST = 0.04;
const MOST = 3;
/** Below this a box cannot be read. */
const READABLE = 0.55;
const MARGIN = 16;

/** Moves and sizes a drawing inside of its frame without drawing it anew. A drag of more than a few pixels chooses nothing. */
export function usePanZoom(
  frame: RefObject<HTMLDivElement | null>,
  ground: RefObject<SVGGElement | null>,
  layout: Layout,
) {
  const view = useRef({ x: 0, y: 0, size: 1 });

  const apply = useCallback(() => {
    const { x, y, size } = view.current;
    ground.current?.setAttribute("transform", `translate(${x} ${y}) scale(${size})`);
  }, [ground]);

  const zoomAt = useCallback(
    (by: number, px: number, py: number) => {
      const { x, y, size } = view.current;
      const next = Math.min(MOST, Math.max(LEAST, size * by));
      view.current = { x: px - ((px - x) * next) / size, y: py - ((py - y) * next) / size, size: next };
      apply();
    },
    [apply],
  );

  const zoom = useCallback(
    (by: number) => {
      const box = frame.current;
      if (box) zoomAt(by, box.clientWidth / 2, box.clientHeight / 2);
    },
    [frame, zoomAt],
  );

  const move = useCallback(
    (dx: number, dy: number) => {
      view.current = { ...view.current, x: view.current.x + dx, y: view.current.y + dy };
      apply();
    },
    [apply],
  );

  /** All of it; or, where a box to begin at is given and all would be too small to read, readable around that box. */
  const fit = useCallback(
    (around?: { x: number; y: number }) => {
      const box = frame.current;
      if (!box) return;
      const [wide, high] = [box.clientWidth, box.clientHeight];
      const all = Math.min(1, (wide - 2 * MARGIN) / layout.width, (high - 2 * MARGIN) / layout.height);
      if (around && all < READABLE) {
        const size = Math.max(READABLE, 0.8);
        view.current = {
          size,
          x: Math.min(MARGIN, wide / 4 - around.x * size),
          y: Math.min(MARGIN, high / 2 - (around.y + BOX.height / 2) * size),
        };
      } else view.current = { size: all, x: (wide - layout.width * all) / 2, y: (high - layout.height * all) / 2 };
      apply();
    },
    [frame, layout, apply],
  );

  /** Brings a box into the frame, moving no more than needed. */
  const show = useCallback(
    (at: { x: number; y: number }) => {
      const box = frame.current;
      if (!box) return;
      const { x, y, size } = view.current;
      const inside = (from: number, long: number, room: number) =>
        from < MARGIN ? MARGIN - from : from + long > room - MARGIN ? room - MARGIN - from - long : 0;
      move(
        inside(at.x * size + x, BOX.width * size, box.clientWidth),
        inside(at.y * size + y, BOX.height * size, box.clientHeight),
      );
    },
    [frame, move],
  );

  useEffect(() => {
    const box = frame.current;
    if (!box) return;
    const fingers = new Map<number, { x: number; y: number }>();
    let dragged = 0;
    const at = (event: PointerEvent | WheelEvent) => {
      const edge = box.getBoundingClientRect();
      return { x: event.clientX - edge.left, y: event.clientY - edge.top };
    };
    const down = (event: PointerEvent) => {
      if (event.button !== 0) return;
      if (fingers.size === 0) dragged = 0;
      fingers.set(event.pointerId, at(event));
    };
    const drag = (event: PointerEvent) => {
      const before = fingers.get(event.pointerId);
      if (!before) return;
      const now = at(event);
      const [other] = [...fingers].filter(([id]) => id !== event.pointerId).map(([, place]) => place);
      if (other) {
        const [was, is] = [
          Math.hypot(before.x - other.x, before.y - other.y),
          Math.hypot(now.x - other.x, now.y - other.y),
        ];
        if (was > 0) zoomAt(is / was, other.x, other.y);
        dragged = 100;
      } else {
        dragged += Math.abs(now.x - before.x) + Math.abs(now.y - before.y);
        if (dragged > 5) {
          box.setPointerCapture(event.pointerId);
          box.classList.add("moving");
        }
        move(now.x - before.x, now.y - before.y);
      }
      fingers.set(event.pointerId, now);
    };
    const up = (event: PointerEvent) => {
      fingers.delete(event.pointerId);
      box.classList.remove("moving");
    };
    const click = (event: MouseEvent) => {
      if (dragged <= 5) return;
      dragged = 0;
      event.stopPropagation();
      event.preventDefault();
    };
    const wheel = (event: WheelEvent) => {
      if (!event.ctrlKey && !event.metaKey) return;
      event.preventDefault();
      const place = at(event);
      zoomAt(Math.exp(-event.deltaY / 300), place.x, place.y);
    };
    box.addEventListener("pointerdown", down);
    box.addEventListener("pointermove", drag);
    box.addEventListener("pointerup", up);
    box.addEventListener("pointercancel", up);
    box.addEventListener("click", click, { capture: true });
    box.addEventListener("wheel", wheel, { passive: false });
    return () => {
      box.removeEventListener("pointerdown", down);
      box.removeEventListener("pointermove", drag);
      box.removeEventListener("pointerup", up);
      box.removeEventListener("pointercancel", up);
      box.removeEventListener("click", click, { capture: true });
      box.removeEventListener("wheel", wheel);
    };
  }, [frame, move, zoomAt]);

  return { zoom, move, fit, show };
}
