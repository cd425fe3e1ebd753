// The drawing itself. Everything here is paint, hidden from screen readers; the keys above it carry
// the words.
import { hatch } from "../parts/hatch";
import type { Layout } from "./layout";

export function Paint({ l, lifted }: { l: Layout; lifted?: string }) {
  return (
    <svg class="paint" width={l.width} height={l.height} aria-hidden="true" focusable="false">
      {l.rows.map((r) => <path key={r.key} class={r.week ? "rule week" : "rule"} d={`M0 ${r.top}H${l.width}`} />)}
      {l.rows.filter((r) => r.folded && r.label).map((r) => <rect key={r.key} class="fold" x="0" y={r.top + 1} width={l.width} height={r.height - 2} />)}
      {l.strings.map((p, i) => <path key={i} class="string" d={p.d} />)}
      <path class="taut" d={l.chain} />
      {l.bars.map((b) => <rect key={b.bar.id} class={`barline ${b.bar.state}`} x={b.x} width={b.w} y={b.signed ? b.y + l.bar / 2 - 2 : b.y} height={b.signed ? 4 : l.bar} />)}
      {l.boxes.map((b) => <BoxPaint key={b.block.id} b={b} l={l} faint={lifted === b.block.id} />)}
      {l.goods.map((g) => <path key={g.goods.id} class={`parcel ${g.goods.state}`} d={`M${g.x} ${g.y}h${g.w}v${g.h}h${-g.w}zM${g.x} ${g.y + 5}h${g.w}`} />)}
      {l.nowY !== undefined && <><rect class="gone" x="0" y="0" width={l.width} height={l.nowY} /><path class="now" d={`M0 ${l.nowY}H${l.width}`} /></>}
    </svg>
  );
}

function BoxPaint({ b, l, faint }: { b: Layout["boxes"][number]; l: Layout; faint: boolean }) {
  const k = b.block;
  const sure = k.finished || k.started ? "firm" : k.booking || "pencilled";
  const cls = `box ${sure}${k.taut ? " heavy" : ""}${k.finished ? " finished" : ""}${k.late ? " late" : ""}`;
  const inset = k.taut ? 2 : 1;
  const at = (x: number, w: number) => ({ x: x + inset, y: b.y + inset, width: w - 2 * inset, height: b.h - 2 * inset, rx: 5 });
  const others = b.also.map((i) => l.cols[i]!.x + 5);
  return (
    <g class={faint ? "faint" : undefined}>
      {others.map((x) => <path key={x} class="tie" d={`M${Math.min(x, b.x) + 20} ${b.y + 14}H${Math.max(x, b.x) + 20}`} />)}
      {others.map((x) => <g key={x}><rect class="card-fill" {...at(x, b.w)} /><rect {...at(x, b.w)} class={cls} fill={hatch(k.trade)} /></g>)}
      <rect class="card-fill" {...at(b.x, b.w)} />
      {k.done > 0 && !k.finished && <rect class="done" x={b.x + inset} y={b.y + inset} width={b.w - 2 * inset} height={((b.h - 2 * inset) * k.done) / 100} />}
      <rect {...at(b.x, b.w)} class={cls} fill={hatch(k.trade)} />
    </g>
  );
}

/** Board is the wood the strings hang from. Names stand by turns high and low over their nails, so that
 * each has twice the width of its string; seen from far they stand on end. */
export function Board({ l, onEnd }: { l: Layout; onEnd: boolean }) {
  const narrow = l.colWidth < 76;
  return (
    <div class={onEnd ? "board on-end" : narrow ? "board turns" : "board"} style={{ width: `${l.width}px` }}>
      {l.cols.map((c, i) => (
        <span key={c.id} class="crew" style={{ left: `${c.x}px`, width: `${l.colWidth}px` }}>
          <span class={i % 2 ? "low" : "high"}>{c.name}</span>
        </span>
      ))}
      <svg class="plank" width={l.width} height="20" aria-hidden="true" focusable="false">
        <rect class="wood" x="1" y="2" width={l.width - 2} height="13" />
        {l.cols.map((c) => <circle key={c.id} class="nail" cx={c.x + l.colWidth / 2} cy="8.5" r={onEnd ? 3 : 4} />)}
      </svg>
    </div>
  );
}
