// From the engine's picture to pixels: which string hangs where, where each block, bar and delivery
// lies, how the strings wave.
import type { Bar, Block, Goods, StringsView } from "../view";
import { minutes } from "../clock";
import { chalk, cord, type Chalk } from "./cord";
import { place, type Placed } from "./place";
import { rowsOf, yOf, type Row, type Scale, type Thing } from "./rows";

export const NOBODY = "";
export const DELIVERIES = "\u0000goods";

/** Col is a string; taut tells that the chain runs over it. */
export interface Col { id: string; name: string; trade: string; x: number; taut: boolean }
export interface Box { block: Block; col: number; also: number[]; x: number; w: number; y: number; h: number }
export interface BarAt { bar: Bar; x: number; w: number; y: number; h: number; signed: boolean }
export interface GoodsAt { goods: Goods; x: number; w: number; y: number; h: number }

export interface Layout {
  cols: Col[]; rows: Row[]; boxes: Box[]; bars: BarAt[]; goods: GoodsAt[]; strings: string[]; chain: Chalk;
  width: number; height: number; colWidth: number; nowY?: number;
}

const GAP = 3; // between a block and the edge of its string's column
const BELOW = 2; // between a block and what follows it
const WIDEST = 180; // px: a string's column is not wider than its words need
const WORDS = 4; // strings that the words of a bar reach over
const KEY = 24; // px: no key is lower, however full the day (WCAG 2.2, 2.5.8)

interface Words { nothing: string; nobody: string; deliveries: string }

/** Item is a thing to be placed and what it stands for. */
type Item = Thing & { fixed?: boolean; block?: Block; bar?: Bar; on?: [number, number]; goods?: Goods };

export function layout(v: StringsView, now: string, room: number, scale: Scale, words: Words): Layout {
  const cols = colsOf(v, words);
  const colWidth = Math.max(scale.col, Math.min(scale.words ? WIDEST : 60, Math.floor(room / Math.max(1, cols.length))));
  cols.forEach((c, i) => { c.x = i * colWidth; });
  const items = itemsOf(v, new Map(cols.map((c, i) => [c.id, i])), scale);
  const rows = rowsOf(v, items, scale, words);
  const at = place(items, rows);
  const boxes: Box[] = [], bars: BarAt[] = [], goods: GoodsAt[] = [];
  items.forEach((s, i) => {
    const p = at[i]!;
    if (s.block) boxes.push(boxAt(s.block, s.cols, p, colWidth));
    if (s.bar) bars.push(barAt(s.bar, s.on!, p, colWidth, scale));
    if (s.goods) goods.push({ goods: s.goods, x: s.cols[0]! * colWidth + GAP, w: colWidth - 2 * GAP, y: p.top + 1, h: Math.min(p.bottom - p.top, scale.least) - BELOW });
  });
  share(boxes);
  const last = rows.at(-1);
  const height = (last ? last.top + last.height : 0) + 24;
  const nowY = rows.length && minutes(now) >= rows[0]!.from ? yOf(rows, minutes(now)) : undefined;
  const chained = new Set(v.taut.flat());
  for (const b of boxes) if (chained.has(b.block.id) && !b.block.finished) for (const c of [b.col, ...b.also]) cols[c]!.taut = true;
  return {
    cols, rows, boxes, bars, goods, colWidth, height, width: cols.length * colWidth, nowY,
    strings: cols.map((c, i) => cord(boxes.filter((b) => b.col === i || b.also.includes(i)), c.x + colWidth / 2, height, colWidth)),
    chain: chalk(v.taut, boxes, goods, bars, nowY),
  };
}

function colsOf(v: StringsView, words: Words): Col[] {
  const cols = v.crews.map((c) => ({ id: c.id, name: c.name, trade: c.trade, x: 0, taut: false }));
  if (v.blocks.some((b) => !cols.some((c) => c.id === b.crew))) cols.push({ id: NOBODY, name: words.nobody, trade: "", x: 0, taut: false });
  if (v.goods.length) cols.push({ id: DELIVERIES, name: words.deliveries, trade: "hauling", x: 0, taut: false });
  return cols;
}

/** itemsOf is everything that needs room, in the order of time. A delivery has a moment, not a length. */
function itemsOf(v: StringsView, index: Map<string, number>, scale: Scale): Item[] {
  const known = (ids: string[]) => ids.map((id) => index.get(id)).filter((i): i is number => i !== undefined);
  const items: Item[] = v.blocks.map((b) => {
    const from = minutes(b.start);
    return { cols: [index.get(b.crew) ?? index.get(NOBODY) ?? 0, ...known(b.with ?? [])], from, to: Math.max(minutes(b.finish), from + 1), least: scale.least, block: b };
  });
  for (const bar of v.bars) {
    const on = known(bar.blocks);
    const [first, last] = on.length ? [Math.min(...on), Math.max(...on)] : [0, index.size - 1];
    const from = minutes(bar.at);
    const least = scale.words ? Math.max(KEY, scale.bar + 3) : scale.bar + 3;
    const reach = bar.state === "signed" ? last : Math.max(last, Math.min(index.size - 1, first + WORDS - 1));
    const start = bar.state === "signed" ? first : Math.max(0, Math.min(first, reach - WORDS + 1));
    items.push({ cols: Array.from({ length: reach - start + 1 }, (_, i) => start + i), from, to: Math.max(minutes(bar.to), from + 1), least, across: true, bar, on: [first, last] });
  }
  for (const goods of v.goods) {
    const from = minutes(goods.at);
    items.push({ cols: [index.get(DELIVERIES) ?? 0], from, to: from + 1, least: scale.least, fixed: true, goods });
  }
  const id = (s: Item) => (s.block ?? s.bar ?? s.goods)!.id;
  return items.sort((a, b) => a.from - b.from || a.to - b.to || (id(a) < id(b) ? -1 : 1));
}

function boxAt(block: Block, cols: number[], p: Placed, colWidth: number): Box {
  const [col = 0, ...also] = cols;
  return { block, col, also, x: col * colWidth + GAP, w: colWidth - 2 * GAP, y: p.top + 1, h: Math.max(6, p.bottom - p.top - BELOW) };
}

function barAt(bar: Bar, [first, last]: [number, number], p: Placed, colWidth: number, scale: Scale): BarAt {
  const signed = bar.state === "signed";
  const h = Math.min(scale.bar, p.bottom - p.top - 2);
  return { bar, x: first * colWidth, w: (last - first + 1) * colWidth, y: p.top + (p.bottom - p.top - h) / 2, h, signed };
}

/** share puts work that a crew does at the same time side by side on its string. */
function share(boxes: Box[]) {
  for (const col of new Set(boxes.map((b) => b.col))) {
    const own = boxes.filter((b) => b.col === col);
    const beside = own.map((b) => own.filter((o) => o.y < b.y + b.h - 1 && o.y + o.h - 1 > b.y));
    own.forEach((b, i) => {
      const row = beside[i]!;
      if (row.length < 2) return;
      const w = b.w / row.length;
      b.x += w * row.indexOf(b);
      b.w = w - 1;
    });
  }
}
