// How far down a moment lies. Days are rows; a row is as high as its working hours, stretched where a
// short piece of work would else be too small for a thumb; days without anything are folded.
import type { StringDay, StringsView } from "../view";
import { dayStart, minutes, weekday } from "../clock";

/** Span is something that takes room in time: minutes from, to, and the pixels it needs. */
export interface Span { from: number; to: number; room: number }

export interface Row {
  key: string;
  label: string;
  note: string;
  from: number; // first minute the row stands for
  to: number;
  top: number;
  height: number;
  week: boolean;
  today: boolean;
  past: boolean;
  folded: boolean;
  /** marks: minutes and their pixels below top, rising; between them time runs evenly */
  marks: [number, number][];
}

export interface Scale { day: number; fold: number; thumb: number }
export const CLOSE: Scale = { day: 96, fold: 32, thumb: 48 };
export const WIDE: Scale = { day: 44, fold: 26, thumb: 30 };

const USUAL_DAY = 8.5 * 60;
const FULL_DAY = 24 * 60;

export function rowsOf(v: StringsView, spans: Span[], scale: Scale, words: { nothing: string }): Row[] {
  const rows: Row[] = [];
  let top = 0;
  for (const day of v.days) {
    const start = dayStart(day.day);
    const inside = spans.filter((s) => s.from < start + FULL_DAY && s.to > start && works(day, s, start));
    const row = inside.length || day.today ? dayRow(day, start, inside, scale) : undefined;
    const last = rows.at(-1);
    if (!row && last?.folded && last.note === foldNote(day, words.nothing) && !day.week) {
      last.to = start + FULL_DAY;
      last.label = `${last.label.split(" – ")[0]} – ${day.short}`;
      continue;
    }
    const next = row ?? foldedRow(day, start, scale, words.nothing);
    next.top = top;
    top += next.height;
    rows.push(next);
  }
  return rows;
}

/** works tells whether a span is at work on the day, or only waits over it as over a weekend. */
const works = (day: StringDay, s: Span, start: number) =>
  !day.shut || (s.from >= start && s.from < start + FULL_DAY) || (s.to > start && s.to <= start + FULL_DAY);

const foldNote = (day: StringDay, nothing: string) => day.shut || nothing;
const isWeekend = (day: StringDay) => weekday(day.day) >= 5;

function foldedRow(day: StringDay, start: number, scale: Scale, nothing: string): Row {
  const height = isWeekend(day) ? 10 : scale.fold;
  return {
    key: day.day, label: isWeekend(day) ? "" : day.short, note: foldNote(day, nothing), from: start, to: start + FULL_DAY, top: 0, height,
    week: day.week, today: day.today, past: day.past, folded: true, marks: [[start, 0], [start + FULL_DAY, height]],
  };
}

function dayRow(day: StringDay, start: number, inside: Span[], scale: Scale): Row {
  const open = start + Math.min(day.open, ...inside.map((s) => Math.max(0, s.from - start)));
  const close = Math.max(open + 60, start + Math.max(day.close, ...inside.map((s) => Math.min(FULL_DAY, s.to - start))));
  const marks = marksOf(open, close, inside, ((close - open) / USUAL_DAY) * scale.day);
  const height = marks.at(-1)![1];
  return {
    key: day.day, label: day.short, note: day.shut ?? "", from: open, to: close, top: 0, height,
    week: day.week, today: day.today, past: day.past, folded: false, marks,
  };
}

/** marksOf stretches the hours in which short things lie until each has the room it needs. */
function marksOf(open: number, close: number, inside: Span[], height: number): [number, number][] {
  const cut = (m: number) => Math.min(close, Math.max(open, m));
  const at = [...new Set([open, close, ...inside.flatMap((s) => [cut(s.from), cut(s.to)])])].sort((a, b) => a - b);
  const gaps = at.slice(1).map((m, i) => ((m - at[i]!) / (close - open)) * height);
  for (const s of [...inside].sort((a, b) => a.to - b.to)) {
    const [i, j] = [at.indexOf(cut(s.from)), at.indexOf(cut(s.to))];
    const have = gaps.slice(i, j).reduce((a, b) => a + b, 0);
    const whole = s.from >= open && s.to <= close;
    const need = whole ? s.room : Math.min(s.room, 24);
    if (have > 0 && have < need) for (let k = i; k < j; k++) gaps[k]! *= need / have;
  }
  let y = 0;
  return at.map((m, i) => { if (i) y += gaps[i - 1]!; return [m, y] as [number, number]; });
}

/** yOf is how many pixels below the board a minute lies. */
export function yOf(rows: Row[], m: number): number {
  const row = rows.findLast((r) => r.from <= m) ?? rows[0];
  if (!row) return 0;
  const marks = row.marks;
  for (let i = 1; i < marks.length; i++) {
    const [m1, y1] = marks[i]!;
    const [m0, y0] = marks[i - 1]!;
    if (m <= m1) return row.top + (m <= m0 ? y0 : y0 + ((m - m0) / (m1 - m0)) * (y1 - y0));
  }
  return row.top + row.height;
}

/** halfDayAt is the half-day that begins nearest to a height: where a dragged block may be put down. */
export function halfDayAt(rows: Row[], y: number): { at: number; label: string } | undefined {
  let best: { at: number; label: string; off: number } | undefined;
  for (const r of rows) {
    if (r.folded && !r.label) continue;
    const noon = dayStart(r.key) + 12 * 60;
    for (const at of r.folded ? [r.from + 8 * 60] : [r.from, noon]) {
      const off = Math.abs(yOf(rows, at) - y);
      if (!best || off < best.off) best = { at, label: r.label, off };
    }
  }
  return best;
}

export const spanOf = (from: string, to: string, room: number): Span => ({ from: minutes(from), to: Math.max(minutes(to), minutes(from) + 1), room });
