// Moving a block by hand. A mouse drags at once; a finger first rests for a moment, because a finger
// that moves at once means to scroll.
import { useEffect, useRef, useState } from "preact/hooks";
import type { RefObject } from "preact";

const REST = 350; // ms a finger rests before it holds the block
const SLIP = 8; // px a mouse may shake before it is a drag

export interface Drag { id: string; dy: number }
interface Live { id: string; x: number; y: number; on: boolean; timer: number; dy: number }

/** useDrag watches the buttons with data-block inside field; put is called where one is let go. */
export function useDrag(field: RefObject<HTMLElement | null>, may: boolean, put: (id: string, dy: number) => void): Drag | undefined {
  const [drag, setDrag] = useState<Drag>();
  const live = useRef<Live | undefined>(undefined);
  const done = useRef(put);
  done.current = put;

  useEffect(() => {
    const el = field.current;
    if (!el || !may) return;
    const pick = (e: PointerEvent) => {
      const id = (e.target as Element).closest<HTMLElement>("[data-block]")?.dataset.block;
      if (!id || e.button !== 0) return;
      const timer = e.pointerType === "mouse" ? 0 : window.setTimeout(grab, REST);
      live.current = { id, x: e.clientX, y: e.clientY, on: false, timer, dy: 0 };
    };
    const grab = () => {
      const l = live.current;
      if (!l) return;
      l.on = true;
      setDrag({ id: l.id, dy: 0 });
      navigator.vibrate?.(15);
    };
    const move = (e: PointerEvent) => {
      const l = live.current;
      if (!l) return;
      const off = Math.hypot(e.clientX - l.x, e.clientY - l.y);
      if (!l.on && off > SLIP) {
        if (e.pointerType === "mouse") grab();
        else drop();
      }
      if (l.on) { l.dy = e.clientY - l.y; setDrag({ id: l.id, dy: l.dy }); }
    };
    const drop = () => {
      if (live.current) clearTimeout(live.current.timer);
      live.current = undefined;
      setDrag(undefined);
    };
    const up = () => {
      const l = live.current;
      drop();
      if (!l?.on) return;
      // The click that ends a drag must not open the block.
      addEventListener("click", (e) => { e.preventDefault(); e.stopPropagation(); }, { capture: true, once: true });
      setTimeout(() => done.current(l.id, l.dy), 0);
    };
    const still = (e: TouchEvent) => { if (live.current?.on) e.preventDefault(); };
    const key = (e: KeyboardEvent) => { if (e.key === "Escape") drop(); };
    el.addEventListener("pointerdown", pick);
    el.addEventListener("touchmove", still, { passive: false });
    addEventListener("pointermove", move);
    addEventListener("pointerup", up);
    addEventListener("pointercancel", drop);
    addEventListener("keydown", key);
    return () => {
      drop();
      el.removeEventListener("pointerdown", pick);
      el.removeEventListener("touchmove", still);
      removeEventListener("pointermove", move);
      removeEventListener("pointerup", up);
      removeEventListener("pointercancel", drop);
      removeEventListener("keydown", key);
    };
  }, [field.current, may]);
  return drag;
}
