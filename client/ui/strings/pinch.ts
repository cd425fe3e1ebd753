// Two fingers apart: closer. Two fingers together: from further away. One step of the scale at a time,
// as the buttons below the picture do.
import { useLayoutEffect, useRef } from "preact/hooks";
import type { RefObject } from "preact";

const STEP = 1.35; // how much wider two fingers must get for one step

/** stepOf is whether fingers that were so far apart have gone far enough for a step. */
export const stepOf = (from: number, now: number): 1 | -1 | 0 => (now > from * STEP ? 1 : now < from / STEP ? -1 : 0);

/** usePinch calls step with +1 or -1 and the place between the fingers, in pixels of the box. */
export function usePinch(box: RefObject<HTMLElement | null>, step: (by: 1 | -1, x: number, y: number) => void) {
  const done = useRef(step);
  done.current = step;
  useLayoutEffect(() => {
    const el = box.current;
    if (!el) return;
    let from = 0; // how far apart the fingers were at the last step; 0: there are not two
    const two = (e: TouchEvent) => [e.touches[0]!, e.touches[1]!] as const;
    const apart = (e: TouchEvent) => { const [a, b] = two(e); return Math.hypot(a.clientX - b.clientX, a.clientY - b.clientY); };
    const count = (e: TouchEvent) => { from = e.touches.length === 2 ? apart(e) : 0; };
    const move = (e: TouchEvent) => {
      if (!from || e.touches.length !== 2) return;
      e.preventDefault();
      const now = apart(e);
      const by = stepOf(from, now);
      if (!by) return;
      from = now;
      const [a, b] = two(e);
      const at = el.getBoundingClientRect();
      done.current(by, (a.clientX + b.clientX) / 2 - at.left, (a.clientY + b.clientY) / 2 - at.top);
    };
    el.addEventListener("touchstart", count, { passive: true });
    el.addEventListener("touchend", count, { passive: true });
    el.addEventListener("touchmove", move, { passive: false });
    return () => {
      el.removeEventListener("touchstart", count);
      el.removeEventListener("touchend", count);
      el.removeEventListener("touchmove", move);
    };
  }, []);
}
