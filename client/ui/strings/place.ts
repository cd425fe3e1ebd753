// Where things lie on their strings: at their time, at least as high as they may be drawn, below each other
// in the order of time and inside their days. The rows are high enough for that.
import { follows, rowAt, yOf, type Row, type Thing } from "./rows";

export interface Placed { top: number; bottom: number }

const LEAST = 8; // px that are left of a thing where a day is too full all the same

/** place lays things, in the order of their starts; fixed ones, and bars, are as high as their least. */
export function place(things: (Thing & { fixed?: boolean })[], rows: Row[]): Placed[] {
  const at: Placed[] = [];
  things.forEach((s, i) => {
    let top = yOf(rows, s.from);
    for (let j = 0; j < i; j++) if (at[j]!.bottom > top && follows(things[j]!, s)) top = at[j]!.bottom;
    at.push({ top, bottom: Math.max(top + s.least, s.fixed || s.across ? 0 : yOf(rows, s.to)) });
  });
  for (let i = things.length - 1; i >= 0; i--) {
    const [s, a] = [things[i]!, at[i]!];
    const first = rowAt(rows, s.from)?.top ?? 0, last = rowAt(rows, Math.max(s.from, s.to - 1));
    let floor = last ? last.top + last.height : Infinity;
    for (let j = i + 1; j < things.length; j++) if (at[j]!.top < floor && follows(s, things[j]!)) floor = at[j]!.top;
    if (a.bottom <= floor) continue;
    a.bottom = Math.max(floor, first + LEAST);
    a.top = Math.max(first, Math.min(a.top, a.bottom - s.least));
  }
  return at;
}
