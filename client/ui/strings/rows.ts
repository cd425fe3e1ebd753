// How far down a moment lies. Days are rows; a row is as high as its working hours, stretched where a
// short piece of work would else be too small for a thumb; days without anything are folded.
import type { StringDay, StringsView } from "../view";
import { dayStart, minutes, weekday } from "../clock";

/** Span is something on a string: minutes from, to, and the pixels it needs before the next on the same string. */
export interface Span { on: string; from: number; to: number; room: number }

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

/** Scale is how close one looks; all in px. */
export interface Scale {
  day: number; // a full working day
  fold: number; // a folded one
  least: number; // the least height a block is drawn with
  hit: number; // the least height of what a thumb meets
  col: number; // the least width of a string's column
  bar: number;
  barRoom: number;
  words: boolean; // names stand on the blocks
}
/** FAR shows the whole job at a glance. It is for looking: a tap anywhere comes closer. */
export const FAR: Scale = { day: 26, fold: 16, least: 10, hit: 0, col: 24, bar: 12, barRoom: 15, words: false };
export const MID: Scale = { day: 60, fold: 24, least: 26, hit: 48, col: 54, bar: 22, barRoom: 26, words: true };
export const CLOSE: Scale = { day: 96, fold: 32, least: 44, hit: 48, col: 84, bar: 32, barRoom: 48, words: true };
export const SCALES = [FAR, MID, CLOSE];

const USUAL_DAY = 8.5 * 60;
const FULL_DAY = 24 * 60;
const IDLE = 0.08; // of a day's height at most for hours in which nobody is at work
const EVENING = 17 * 60; // from here on, and before MORNING, an hour is drawn lower: it is the owner's own
const MORNING = 7 * 60;
const LOWER = 0.4;

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
      if (last.label) last.label = `${last.label.split(" – ")[0]} – ${day.short}`;
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

const foldNote = (day: StringDay, nothing: string) => day.shut || day.wet || nothing;
const isWeekend = (day: StringDay) => weekday(day.day) >= 5;

function foldedRow(day: StringDay, start: number, scale: Scale, nothing: string): Row {
  const height = isWeekend(day) ? scale.fold / 3 : scale.fold;
  return {
    key: day.day, label: isWeekend(day) ? "" : day.short, note: foldNote(day, nothing), from: start, to: start + FULL_DAY, top: 0, height,
    week: day.week, today: day.today, past: day.past, folded: true, marks: [[start, 0], [start + FULL_DAY, height]],
  };
}

function dayRow(day: StringDay, start: number, inside: Span[], scale: Scale): Row {
  const begins = inside.filter((s) => s.from >= start).map((s) => s.from - start);
  const ends = inside.filter((s) => s.to <= start + FULL_DAY).map((s) => s.to - start);
  const open = start + Math.min(day.open || 8 * 60, ...begins);
  // Hours after the usual day are shown only where somebody is at work in them.
  const close = start + Math.max(Math.min(day.close || FULL_DAY, open - start + USUAL_DAY), ...ends, open - start + 60);
  const marks = marksOf(open, close, inside, scale);
  const height = marks.at(-1)![1];
  return {
    key: day.day, label: day.short, note: day.shut ?? day.wet ?? "", from: open, to: close, top: 0, height,
    week: day.week, today: day.today, past: day.past, folded: false, marks,
  };
}

/** marksOf gives every hour its height, then stretches where things on one string would lie too close. */
function marksOf(open: number, close: number, inside: Span[], scale: Scale): [number, number][] {
  const cut = (m: number) => Math.min(close, Math.max(open, m));
  const at = [...new Set([open, close, ...inside.flatMap((s) => [cut(s.from), cut(s.to)])])].sort((a, b) => a - b);
  const gaps = at.slice(1).map((m, i) => {
    const clock = (at[i]! % FULL_DAY + FULL_DAY) % FULL_DAY;
    const even = ((m - at[i]!) / USUAL_DAY) * scale.day * (clock >= EVENING || clock < MORNING ? LOWER : 1);
    return inside.some((s) => s.from < m && s.to > at[i]!) ? even : Math.min(even, IDLE * scale.day);
  });
  for (const [from, to, room] of needs(inside, open, close)) {
    const [i, j] = [at.indexOf(from), at.indexOf(to)];
    const have = gaps.slice(i, j).reduce((a, b) => a + b, 0);
    if (have > 0 && have < room) for (let k = i; k < j; k++) gaps[k]! *= room / have;
  }
  let y = 0;
  return at.map((m, i) => { if (i) y += gaps[i - 1]!; return [m, y] as [number, number]; });
}

/** needs says how far apart the starts of neighbours on one string must lie, the last from the day's end. */
function needs(inside: Span[], open: number, close: number): [number, number, number][] {
  const found: [number, number, number][] = [];
  for (const on of new Set(inside.map((s) => s.on))) {
    const own = inside.filter((s) => s.on === on && s.from >= open && s.from < close).sort((a, b) => a.from - b.from);
    own.forEach((s, i) => {
      const next = own.slice(i + 1).find((o) => o.from > s.from)?.from ?? close;
      const together = own.filter((o) => o.from === s.from).reduce((sum, o) => sum + o.room, 0);
      found.push([s.from, next, on.startsWith("#") ? together : s.room]);
    });
  }
  return found.sort((a, b) => a[1] - b[1]);
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

/** minuteAt is the inverse of yOf, to the row: good enough to find a place again at another scale. */
export function minuteAt(rows: Row[], y: number): number {
  const row = rows.findLast((r) => r.top <= y) ?? rows[0]!;
  return row.from + ((row.to - row.from) * Math.max(0, y - row.top)) / row.height;
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

export const spanOf = (on: string, from: string, to: string, room: number): Span =>
  ({ on, from: minutes(from), to: Math.max(minutes(to), minutes(from) + 1), room });
