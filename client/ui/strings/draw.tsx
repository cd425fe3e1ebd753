// The drawing itself. Everything here is paint, hidden from screen readers; the keys above it carry
// the words.
import { hatch } from "../parts/hatch";
import type { Layout } from "./layout";

export function Paint({ l, lifted }: { l: Layout; lifted?: string }) {
  return (
    <svg class="paint" width={l.width} height={l.height} aria-hidden="true" focusable="false">
      {l.rows.map((r) => <path key={r.key} class={r.week ? "rule week" : "rule"} d={`M0 ${r.top}H${l.width}`} />)}
      {l.rows.filter((r) => r.folded && r.label).map((r) => <rect key={r.key} class="fold" x="0" y={r.top + 1} width={l.width} height={r.height - 2} />)}
      {l.strings.map((d, i) => <path key={i} class="string" d={d} />)}
      <path class="bare" d={l.chain.lead} /><path class="lead" d={l.chain.lead} />
      <path class="taut" d={l.chain.line} />
      {l.bars.map((b) => <rect key={b.bar.id} class={`barline ${b.bar.state}`} x={b.x} width={b.w} y={b.y + (b.h - thick(b)) / 2} height={thick(b)} />)}
      {l.boxes.map((b) => <BoxPaint key={b.block.id} b={b} l={l} faint={lifted === b.block.id} />)}
      {l.goods.map((g) => <path key={g.goods.id} class={`parcel ${g.goods.state}`} d={`M${g.x} ${g.y}h${g.w}v${g.h}h${-g.w}zM${g.x} ${g.y + 4}h${g.w}`} />)}
      {l.nowY !== undefined && <><rect class="gone" x="0" y="0" width={l.width} height={l.nowY} /><path class="now" d={`M0 ${l.nowY}H${l.width}`} /></>}
    </svg>
  );
}

/** thick is a bar without its words; once signed it is no more than a line. */
const thick = (b: Layout["bars"][number]) => (b.signed ? 3 : Math.min(b.h, 8));

function BoxPaint({ b, l, faint }: { b: Layout["boxes"][number]; l: Layout; faint: boolean }) {
  const k = b.block;
  return (
    <g class={faint ? "faint" : undefined}>
      {k.with && places(b, l).slice(1).map((x) => <path key={x} class="tie" d={`M${Math.min(x, b.x) + 20} ${b.y + Math.min(14, b.h / 2)}H${Math.max(x, b.x) + 20}`} />)}
      {places(b, l).map((x) => <g key={x}><rect class="card-fill" {...inside(b, x)} /><rect {...inside(b, x)} fill={hatch(k.trade)} /></g>)}
      {k.done > 0 && !k.finished && <rect class="done" x={b.x + 1} y={b.y + 1} width={b.w - 2} height={((b.h - 2) * k.done) / 100} />}
    </g>
  );
}

/** Outlines lie over the words on the blocks: how sure a booking is stays whole, however long a name. */
export function Outlines({ l, lifted }: { l: Layout; lifted?: string }) {
  return (
    <svg class="paint over" width={l.width} height={l.height} aria-hidden="true" focusable="false">
      {l.boxes.map((b) => b.block.id !== lifted && places(b, l).map((x) => <rect key={b.block.id + x} class={outline(b)} {...inside(b, x)} />))}
    </svg>
  );
}

function outline({ block: k, h }: Layout["boxes"][number]): string {
  const sure = k.finished || k.started ? "firm" : k.booking || "pencilled";
  return `box ${sure}${k.taut ? " heavy" : ""}${h < LOW ? " low" : ""}${k.finished ? " finished" : ""}${k.late ? " late" : ""}`;
}

const LOW = 26; // px: a block so low has thinner lines, or they would touch its words

/** places are where a block hangs: on its own string, and on those of the crews who work along. */
const places = (b: Layout["boxes"][number], l: Layout) => [b.x, ...b.also.map((i) => l.cols[i]!.x + 3)];

function inside(b: Layout["boxes"][number], x: number) {
  const inset = b.block.taut ? 2 : 1;
  return { x: x + inset, y: b.y + inset, width: Math.max(2, b.w - 2 * inset), height: Math.max(2, b.h - 2 * inset), rx: 4 };
}

/** Board is the wood the strings hang from. Names stand by turns high and low over their nails, so that
 * each has twice the width of its string; seen from far they stand on end. Chalk marks the nails of the chain. */
export function Board({ l, onEnd }: { l: Layout; onEnd: boolean }) {
  const narrow = l.colWidth < 84;
  return (
    <div class={onEnd ? "board on-end" : narrow ? "board turns" : "board"} style={{ width: `${l.width}px` }}>
      {l.cols.map((c, i) => (
        <span key={c.id} class={c.taut ? "crew chalked" : "crew"} style={{ left: `${c.x}px`, width: `${l.colWidth}px` }}>
          <span class={i % 2 ? "low" : "high"}>{c.name}</span>
        </span>
      ))}
      <svg class="plank" width={l.width} height="16" aria-hidden="true" focusable="false">
        <rect class="wood" x="1" y="2" width={l.width - 2} height="11" />
        {l.cols.map((c) => <circle key={c.id} class={c.taut ? "nail chalked" : "nail"} cx={c.x + l.colWidth / 2} cy="7.5" r={onEnd ? 3 : 4} />)}
      </svg>
    </div>
  );
}
