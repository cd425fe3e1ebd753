// From the engine's picture to pixels: which string hangs where, where each block, bar and delivery
// lies, how the strings wave.
import type { Bar, Block, Goods, StringsView } from "../view";
import { minutes } from "../clock";
import { rowsOf, spanOf, yOf, type Row, type Scale, type Span } from "./rows";

export const NOBODY = "";
export const DELIVERIES = "\u0000goods";

export interface Col { id: string; name: string; trade: string; x: number }
export interface Box { block: Block; col: number; also: number[]; x: number; w: number; y: number; h: number }
/** BarAt has its words where no block hides them: from labX, labW wide. */
export interface BarAt { bar: Bar; x: number; w: number; y: number; signed: boolean; labX: number; labW: number }
export interface GoodsAt { goods: Goods; x: number; w: number; y: number; h: number }
export interface Piece { d: string; taut: boolean }

export interface Layout {
  cols: Col[]; rows: Row[]; boxes: Box[]; bars: BarAt[]; goods: GoodsAt[]; strings: Piece[]; chain: string;
  width: number; height: number; colWidth: number; bar: number; nowY?: number;
}

const SIGNED_ROOM = 20;
const GAP = 4; // between a block and its string's neighbours

interface Words { nothing: string; nobody: string; deliveries: string }

export function layout(v: StringsView, now: string, room: number, scale: Scale, words: Words): Layout {
  const cols = colsOf(v, words);
  const colWidth = Math.max(scale.col, Math.min(scale.words ? 132 : 60, Math.floor(room / Math.max(1, cols.length))));
  cols.forEach((c, i) => { c.x = i * colWidth; });
  const rows = rowsOf(v, spansOf(v, scale), scale, words);
  const index = new Map(cols.map((c, i) => [c.id, i]));
  const boxes = boxesOf(v.blocks, index, rows, colWidth, scale);
  const bars = barsOf(v.bars, index, rows, colWidth, scale);
  for (const b of bars) placeWords(b, boxes, colWidth, cols.length * colWidth, scale.bar);
  const goods = goodsOf(v.goods, index, rows, colWidth, scale);
  const last = rows.at(-1);
  const height = (last ? last.top + last.height : 0) + 24;
  const nowY = rows.length && minutes(now) >= rows[0]!.from ? yOf(rows, minutes(now)) : undefined;
  return {
    cols, rows, boxes, bars, goods, colWidth, height, bar: scale.bar, width: cols.length * colWidth, nowY,
    strings: cols.flatMap((c, i) => stringOf(boxes.filter((b) => b.col === i || b.also.includes(i)), c.x + colWidth / 2, height, rows)),
    chain: chainOf(v.taut, boxes, goods),
  };
}

function colsOf(v: StringsView, words: Words): Col[] {
  const cols = v.crews.map((c) => ({ id: c.id, name: c.name, trade: c.trade, x: 0 }));
  if (v.blocks.some((b) => !cols.some((c) => c.id === b.crew))) cols.push({ id: NOBODY, name: words.nobody, trade: "", x: 0 });
  if (v.goods.length) cols.push({ id: DELIVERIES, name: words.deliveries, trade: "hauling", x: 0 });
  return cols;
}

function spansOf(v: StringsView, scale: Scale): Span[] {
  return [
    ...v.blocks.map((b) => spanOf(b.crew, b.start, b.finish, scale.least + 2)),
    ...v.bars.map((b) => spanOf("#bars", b.at, b.to, b.state === "signed" ? SIGNED_ROOM : scale.barRoom)),
    ...v.goods.map((g) => spanOf("#goods", g.at, later(g.at), scale.least + 2)),
  ];
}

/** later gives a delivery two hours on the page; it has a moment, not a length. */
const later = (at: string) => new Date(Date.parse(`${at}:00Z`) + 7_200_000).toISOString().slice(0, 16);

function boxesOf(blocks: Block[], index: Map<string, number>, rows: Row[], colWidth: number, scale: Scale): Box[] {
  const boxes: Box[] = [];
  const gap = colWidth > 60 ? GAP : 3;
  for (const block of [...blocks].sort((a, b) => (a.start < b.start ? -1 : 1))) {
    const col = index.get(block.crew) ?? index.get(NOBODY) ?? 0;
    const y = yOf(rows, minutes(block.start));
    const h = Math.max(scale.least, yOf(rows, minutes(block.finish)) - y - 3);
    const also = (block.with ?? []).map((id) => index.get(id)).filter((i): i is number => i !== undefined);
    boxes.push({ block, col, also, x: col * colWidth + gap, w: colWidth - 2 * gap, y: y + 1, h });
  }
  keepApart(boxes);
  share(boxes);
  return boxes;
}

/** keepApart takes back the height a short block was given where the next on its string needs it. */
function keepApart(boxes: Box[]) {
  for (const b of boxes) {
    const next = boxes.find((o) => o.col === b.col && o.y > b.y + 4 && o.y < b.y + b.h && o.block.start >= b.block.finish);
    if (next) b.h = Math.max(8, next.y - b.y - 2);
  }
}

/** share puts work that a crew does at the same time side by side on its string. */
function share(boxes: Box[]) {
  for (const b of boxes) {
    const beside = boxes.filter((o) => o !== b && o.col === b.col && o.y < b.y + b.h - 8 && o.y + o.h - 8 > b.y);
    if (!beside.length) continue;
    const order = [...beside, b].sort((p, q) => p.y - q.y || (p.block.id < q.block.id ? -1 : 1));
    const w = b.w / order.length;
    b.x += w * order.indexOf(b);
    b.w = w - 2;
  }
}

function barsOf(bars: Bar[], index: Map<string, number>, rows: Row[], colWidth: number, scale: Scale): BarAt[] {
  const placed: BarAt[] = [];
  for (const bar of [...bars].sort((a, b) => (a.at < b.at ? -1 : 1))) {
    const cols = bar.blocks.map((id) => index.get(id)).filter((i): i is number => i !== undefined);
    const from = cols.length ? Math.min(...cols) : 0;
    const to = cols.length ? Math.max(...cols) : index.size - 1;
    const signed = bar.state === "signed";
    let y = yOf(rows, minutes(bar.at)) + (signed ? -4 : (scale.barRoom - scale.bar) / 2);
    while (placed.some((p) => Math.abs(p.y - y) < (signed && p.signed ? SIGNED_ROOM : scale.barRoom) - 4 && p.x < (to + 1) * colWidth && p.x + p.w > from * colWidth)) y += 4;
    placed.push({ bar, x: from * colWidth, w: (to - from + 1) * colWidth, y, signed, labX: 0, labW: 0 });
  }
  return placed;
}

const LETTER = 8.6; // px, a generous mean of the label's letters

/** placeWords finds the longest run of strings beside each other, touching the bar, where nothing covers its words. */
function placeWords(b: BarAt, boxes: Box[], colWidth: number, width: number, bar: number) {
  const covered = (x: number) => boxes.some((o) => o.x < x + colWidth && o.x + o.w > x && o.y < b.y + bar && o.y + o.h > b.y);
  const want = b.bar.label.length * LETTER + 24;
  let best = { x: b.x, w: 0 };
  for (let x = b.x; x < b.x + b.w; x += colWidth) {
    if (covered(x)) continue;
    let [from, to] = [x, x + colWidth];
    while (to < width && !covered(to)) to += colWidth;
    while (from > 0 && to - from < want && !covered(from - colWidth)) from -= colWidth;
    if (to - from > best.w && best.w < want) best = { x: from, w: to - from };
  }
  b.labX = best.x;
  b.labW = best.w || b.w;
}

function goodsOf(goods: Goods[], index: Map<string, number>, rows: Row[], colWidth: number, scale: Scale): GoodsAt[] {
  const gap = colWidth > 60 ? GAP : 3;
  const x = (index.get(DELIVERIES) ?? 0) * colWidth + gap;
  const h = scale.least;
  const placed: GoodsAt[] = [];
  for (const g of [...goods].sort((a, b) => (a.at < b.at ? -1 : 1))) {
    let y = yOf(rows, minutes(g.at)) + 2;
    const above = placed.at(-1);
    if (above && y < above.y + h + 2) y = above.y + h + 2;
    placed.push({ goods: g, x, w: colWidth - 2 * gap, y, h });
  }
  return placed;
}

// ---- strings: straight, waving with the slack, straight again

const WAVE = 34; // half a wave
const FULLEST = 16;

function stringOf(own: Box[], x: number, height: number, rows: Row[]): Piece[] {
  const pieces: Piece[] = [];
  let y = 0;
  own.forEach((b, i) => {
    if (b.y > y) pieces.push({ d: `M${x} ${y}V${b.y}`, taut: false });
    const end = b.y + b.h;
    const next = own[i + 1]?.y ?? height;
    const slackTo = b.block.finished ? end : Math.min(next, yOf(rows, minutes(b.block.slackTo || b.block.finish)));
    const days = (minutes(b.block.slackTo || b.block.finish) - minutes(b.block.finish)) / (24 * 60);
    if (!b.block.taut && slackTo > end + 10) {
      pieces.push({ d: wave(x, end, slackTo, Math.min(FULLEST, 4 + 2 * days)), taut: false });
      y = slackTo;
    } else y = Math.max(y, end);
  });
  if (height > y) pieces.push({ d: `M${x} ${y}V${height}`, taut: false });
  return pieces;
}

/** wave hangs loosely from y to end: quadratic half waves, each bulging to the other side. */
function wave(x: number, y: number, end: number, wide: number): string {
  const n = Math.max(1, Math.round((end - y) / WAVE));
  const h = (end - y) / n;
  let d = `M${x} ${y}`;
  for (let i = 0; i < n; i++) d += `q${(i % 2 ? -2 : 2) * wide} ${h / 2} 0 ${h}`;
  return d;
}

/** chainOf is the chalk line: from block to block, passing under the bars between them. */
function chainOf(pairs: [string, string][], boxes: Box[], goods: GoodsAt[]): string {
  const next = new Map(pairs);
  const at = new Map<string, { x: number; top: number; bottom: number }>();
  for (const b of boxes) at.set(b.block.id, { x: b.x + b.w / 2, top: b.y, bottom: b.y + b.h });
  for (const g of goods) at.set(g.goods.id, { x: g.x + g.w / 2, top: g.y, bottom: g.y + g.h });
  let d = "";
  for (const [from] of pairs) {
    const a = at.get(from);
    let to = next.get(from);
    for (let hops = 0; to && !at.has(to) && hops < pairs.length; hops++) to = next.get(to);
    const b = to ? at.get(to) : undefined;
    if (a && b) d += `M${a.x} ${a.bottom}L${b.x} ${b.top}`;
  }
  return d;
}
