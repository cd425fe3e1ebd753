// What a thumb meets is larger than what is drawn, but never lies on what is drawn beside it: of two things
// close together each has the half of the gap, and what one side lacks is taken on the other.

export interface Drawn { x: number; w: number; y: number; h: number }
/** Hit is where a thumb meets it; above and below are what lies around what is drawn. */
export interface Hit { top: number; height: number; above: number; below: number }

/** hits says where each of the things drawn is met: at least `least` high where there is room for it. */
export function hits(drawn: Drawn[], least: number): Hit[] {
  return drawn.map((a) => {
    const beside = drawn.filter((b) => b !== a && b.x < a.x + a.w && a.x < b.x + b.w);
    const ceiling = Math.max(-Infinity, ...beside.filter((b) => b.y + b.h / 2 < a.y + a.h / 2).map((b) => b.y + b.h));
    const floor = Math.min(Infinity, ...beside.filter((b) => b.y + b.h / 2 > a.y + a.h / 2).map((b) => b.y));
    const want = Math.max(0, least - a.h);
    const [freeUp, freeDown] = [Math.max(0, (a.y - ceiling) / 2), Math.max(0, (floor - a.y - a.h) / 2)];
    const down = Math.min(freeDown, Math.max(want / 2, want - freeUp));
    const up = Math.min(freeUp, want - down);
    return { top: a.y - up, height: a.h + up + down, above: up, below: down };
  });
}
