// The strings themselves. Under a piece of work its string waves, down to the next on it, the wider the more
// slack it has; without slack it is straight. The chalk line runs from block to block of the taut chain.
import { minutes } from "../clock";
import type { Box, GoodsAt, BarAt } from "./layout";

const WAVE = 36; // px of half a wave, about
const DAY = 24 * 60;

/** width is how far a string swings to each side for so many days of slack: told apart where it is little. */
export const width = (days: number, most: number) => (days <= 0 ? 0 : Math.min(most, 2.5 + 3 * Math.sqrt(days)));

/** cord is one string from the board to the end of the picture, with its blocks from top to bottom. */
export function cord(own: Box[], x: number, height: number, colWidth: number): string {
  let d = `M${x} 0`;
  let y = 0;
  let swing = 0;
  for (const b of own) {
    if (b.y > y) d += down(y, b.y, swing);
    const end = Math.max(y, b.y + b.h);
    if (end > y) d += `M${x} ${end}`;
    y = end;
    swing = b.block.finished || b.block.taut ? 0 : width((minutes(b.block.slackTo || b.block.finish) - minutes(b.block.finish)) / DAY, colWidth * 0.22);
  }
  return y < height ? d + down(y, height, swing) : d;
}

/** down goes on to end, straight or in half waves that bulge by turns to each side. */
function down(y: number, end: number, swing: number): string {
  if (!swing || end - y < 8) return `V${end}`;
  const n = Math.max(1, Math.round((end - y) / WAVE));
  const h = (end - y) / n;
  let d = "";
  for (let i = 0; i < n; i++) d += `q${(i % 2 ? -2 : 2) * swing} ${h / 2} 0 ${h}`;
  return d;
}

export interface Chalk { line: string; lead: string; first?: { x: number; y: number } }

interface Knot { x: number; y: number; w: number; h: number }

/**
 * chalk is the taut chain: a line from each link of it to the next, passing under the bars between them, and
 * the lead: from where the chain is held until it begins. A visit or an order holds it from where it lies
 * itself; else it is the crew, and the lead hangs down its string.
 */
export function chalk(pairs: [string, string][], boxes: Box[], goods: GoodsAt[], bars: BarAt[], nowY = 0): Chalk {
  const knots = new Map<string, Knot>();
  for (const b of boxes) knots.set(b.block.id, b);
  for (const g of goods) knots.set(g.goods.id, g);
  const ids = [...pairs.map(([from]) => from), ...pairs.slice(-1).map(([, to]) => to)];
  const held = bars.find((b) => b.bar.id === ids[0]);
  const chain = ids.map((id) => knots.get(id)).filter((k): k is Knot => !!k);
  let line = "";
  for (let i = 1; i < chain.length; i++) line += stretch(chain[i - 1]!, chain[i]!);
  const first = chain[0];
  if (!first) return { line, lead: "" };
  const x = first.x + first.w / 2;
  if (held) line = `M${Math.min(Math.max(x, held.x), held.x + held.w)} ${held.y}L${x} ${first.y}` + line;
  const own = boxes.filter((b) => b.x < x && b.x + b.w > x && b.y + b.h <= first.y);
  const from = Math.max(nowY, ...own.map((b) => b.y + b.h));
  return { line, lead: held || first.y - from < 6 || !boxes.includes(first as Box) ? "" : `M${x} ${from}V${first.y}`, first: { x, y: first.y } };
}

/** stretch runs from below a to above b; where they lie beside each other, from side to side. */
function stretch(a: Knot, b: Knot): string {
  const [ax, bx] = [a.x + a.w / 2, b.x + b.w / 2];
  if (b.y >= a.y + a.h - 2) return `M${ax} ${a.y + a.h}L${bx} ${b.y}`;
  const y = (Math.max(a.y, b.y) + Math.min(a.y + a.h, b.y + b.h)) / 2;
  return bx > ax ? `M${a.x + a.w} ${y}H${b.x}` : `M${a.x} ${y}H${b.x + b.w}`;
}
