// How far down a moment lies. Days are rows; a row is as high as its working hours, and higher where what
// hangs on one string that day would not have room below each other; quiet days are low, days without
// anything are folded.
import type { StringDay, StringsView } from "../view";
import { dayStart, weekday } from "../clock";

/** Thing is what needs room on its strings: minutes from and to, and the least height it is drawn with. across
 * is a hold point, whose words reach over other strings. */
export interface Thing { cols: number[]; from: number; to: number; least: number; across?: boolean }

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
  words: number; // the largest letters on a block; 0: none
}
/** FAR shows the whole job at a glance. It is for looking: a tap anywhere comes closer. */
export const FAR: Scale = { day: 18, fold: 12, least: 9, hit: 0, col: 24, bar: 7, words: 0 };
/** WEEKS shows two weeks and the chain through them: the scale one begins with. */
export const WEEKS: Scale = { day: 38, fold: 20, least: 24, hit: 48, col: 64, bar: 20, words: 13 };
export const MID: Scale = { day: 64, fold: 24, least: 30, hit: 48, col: 76, bar: 24, words: 14 };
export const CLOSE: Scale = { day: 104, fold: 32, least: 46, hit: 48, col: 92, bar: 32, words: 15 };
export const SCALES = [FAR, WEEKS, MID, CLOSE];
export const BEGIN = SCALES.indexOf(WEEKS);

/** inWindow has a scale use the height there is: WEEKS shows its two weeks on any screen, as large as they may be. */
export function inWindow(scale: Scale, height: number): Scale {
  return scale === WEEKS ? { ...WEEKS, day: Math.min(56, Math.max(32, Math.floor(height / 17))) } : scale;
}

const USUAL_DAY = 8.5 * 60;
const FULL_DAY = 24 * 60;
const IDLE = 0.08; // of a day's height at most for hours in which nobody is at work
const EVENING = 17 * 60; // from here on, and before MORNING, an hour is drawn lower: it is the owner's own
const MORNING = 7 * 60;
const LOWER = 0.2;
const PART = 10; // px a piece of work needs on a day that is only its first or last

export function rowsOf(v: StringsView, things: Thing[], scale: Scale, words: { nothing: string }): Row[] {
  const rows: Row[] = [];
  let top = 0;
  const rising = [...things].sort((a, b) => a.from - b.from);
  for (const day of v.days) {
    const start = dayStart(day.day);
    const inside = rising.filter((s) => s.from < start + FULL_DAY && s.to > start && works(day, s, start));
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

/** works tells whether a thing is at work on the day, or only waits over it as over a weekend. */
const works = (day: StringDay, s: Thing, start: number) =>
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

function dayRow(day: StringDay, start: number, inside: Thing[], scale: Scale): Row {
  const begins = inside.filter((s) => s.from >= start).map((s) => s.from - start);
  const ends = inside.filter((s) => s.to <= start + FULL_DAY).map((s) => s.to - start);
  const open = start + Math.min(day.open || 8 * 60, ...begins);
  // Hours after the usual day are shown only where somebody is at work in them.
  const close = start + Math.max(Math.min(day.close || FULL_DAY, open - start + USUAL_DAY), ...ends, open - start + 60);
  const marks = marksOf(open, close, inside, scale, Math.max(scale.fold, needOf(inside, start)));
  const height = marks.at(-1)![1];
  return {
    key: day.day, label: day.short, note: day.shut ?? day.wet ?? "", from: open, to: close, top: 0, height,
    week: day.week, today: day.today, past: day.past, folded: false, marks,
  };
}

/** marksOf gives every hour its height, then all of them more where the day would be lower than it needs. */
function marksOf(open: number, close: number, inside: Thing[], scale: Scale, need: number): [number, number][] {
  const cut = (m: number) => Math.min(close, Math.max(open, m));
  const at = [...new Set([open, close, ...inside.flatMap((s) => [cut(s.from), cut(s.to)])])].sort((a, b) => a - b);
  const gaps = at.slice(1).map((m, i) => {
    const clock = (at[i]! % FULL_DAY + FULL_DAY) % FULL_DAY;
    const even = ((m - at[i]!) / USUAL_DAY) * scale.day * (clock >= EVENING || clock < MORNING ? LOWER : 1);
    return inside.some((s) => s.from < m && s.to > at[i]!) ? even : Math.min(even, IDLE * scale.day);
  });
  const sum = gaps.reduce((a, b) => a + b, 0);
  const more = sum > 0 && sum < need ? need / sum : 1;
  let y = 0;
  return at.map((m, i) => { if (i) y += gaps[i - 1]! * more; return [m, y] as [number, number]; });
}

/** needOf is the height a day must have so that what follows each other on a string fits below each other. */
function needOf(inside: Thing[], start: number): number {
  const end: number[] = [];
  inside.forEach((s, i) => {
    const before = inside.slice(0, i).map((o, j) => (follows(o, s) ? end[j]! : 0));
    const whole = s.from >= start && s.to <= start + FULL_DAY;
    end.push(Math.max(0, ...before) + (whole ? s.least : Math.min(PART, s.least)));
  });
  return Math.max(0, ...end);
}

/**
 * follows tells whether b lies below a: it comes after it on some string that both lie on. Two hold points
 * never lie beside each other. Work of an evening may lie over a bar of the same day, or every day with both
 * would be twice as high.
 */
export function follows(a: Thing, b: Thing): boolean {
  if (!a.cols.some((c) => b.cols.includes(c))) return false;
  if (a.across && b.across) return true;
  if (a.across && b.from % FULL_DAY >= EVENING && b.from - a.from < FULL_DAY) return false;
  return a.to <= b.from;
}

/** yOf is how many pixels below the board a minute lies. */
export function yOf(rows: Row[], m: number): number {
  const row = rowAt(rows, m);
  if (!row) return 0;
  const marks = row.marks;
  for (let i = 1; i < marks.length; i++) {
    const [m1, y1] = marks[i]!;
    const [m0, y0] = marks[i - 1]!;
    if (m <= m1) return row.top + (m <= m0 ? y0 : y0 + ((m - m0) / (m1 - m0)) * (y1 - y0));
  }
  return row.top + row.height;
}

/** rowAt is the last row that begins at or before a minute; rows rise. */
export function rowAt(rows: Row[], m: number): Row | undefined {
  let [low, high] = [0, rows.length];
  while (low < high) {
    const mid = (low + high) >> 1;
    if (rows[mid]!.from <= m) low = mid + 1;
    else high = mid;
  }
  return rows[low - 1] ?? rows[0];
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
