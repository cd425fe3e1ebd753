import { useLayoutEffect, useMemo, useRef, useState } from "preact/hooks";
import type { StringsView, View } from "../view";
import { act, ask, head, locked, recalled, views } from "../state";
import { engine } from "../bridge";
import { go, path } from "../route";
import { minuteText } from "../clock";
import { t } from "../words";
import { Btn } from "../parts/kit";
import { Board, Paint } from "../strings/draw";
import { layout, type Layout } from "../strings/layout";
import { halfDayAt, minuteAt, SCALES, yOf, type Scale } from "../strings/rows";
import { fit } from "../strings/fit";
import { hits, type Hit } from "../strings/hit";
import { useDrag } from "../strings/drag";
import { usePinch } from "../strings/pinch";
import { Week } from "../strings/week";

const DAYS_WIDTH = 66;
const BOARD_HEIGHT = 64; // the names and the wood above the first day, about
const MIDDLE = 1; // the scale one begins with

export function Strings() {
  const v = views.value.strings?.strings;
  const h = head.value;
  if (!v || !h) return <h1 class="pad">{t().strings.title}</h1>;
  return (
    <div class="split">
      <div class="hang">
        <div class="strings-head">
          <div class="grow"><h1 tabIndex={-1}>{h.site}</h1><p class="soft">{[h.finishLine, h.tautLine].filter(Boolean).join(" · ")}</p></div>
          {v.blocks.length > 0 && <a class="btn plain" href={path("odds")}>{t().odds.title}</a>}
        </div>
        {v.blocks.length ? <Picture v={v} now={h.now} /> : <div class="pad stack"><p>{t().strings.empty}</p><a class="btn main" href={path("setup")}>{t().more.setup}</a></div>}
      </div>
      <Week v={v} now={h.now} />
    </div>
  );
}

function Picture({ v, now }: { v: StringsView; now: string }) {
  const box = useRef<HTMLDivElement>(null);
  const field = useRef<HTMLDivElement>(null);
  const [room, setRoom] = useState(324);
  const [near, setNear] = useState(MIDDLE);
  const scale = SCALES[near]!;
  const far = !scale.words;
  /** aim is what of the plan is to lie at which place of the window, once the scale has changed. */
  const aim = useRef<{ at: number; col: number; x: number; y: number } | undefined>(undefined);
  const w = t().strings;
  useLayoutEffect(() => {
    const el = box.current!;
    const see = new ResizeObserver(() => setRoom(el.clientWidth - DAYS_WIDTH));
    see.observe(el);
    return () => see.disconnect();
  }, []);
  const l = useMemo(() => layout(v, now, room, scale, { nothing: w.nothingOn, nobody: w.nobody, deliveries: w.deliveries }), [v, now, room, near]);
  const toToday = () => box.current?.scrollTo({ top: Math.max(0, todayTop(l)), behavior: "instant" as ScrollBehavior });
  useLayoutEffect(() => {
    const to = aim.current;
    aim.current = undefined;
    if (to) box.current?.scrollTo(to.col * l.colWidth - to.x, yOf(l.rows, to.at) - to.y);
    else toToday();
  }, [near]);
  /** zoom keeps in its place what lies under the fingers, or in the middle of the window; x and y count from
   * where the strings begin, beside the days and below the board. */
  const zoom = (by: number, x = room / 2, y = 120) => {
    const el = box.current!;
    if (!SCALES[near + by]) return;
    aim.current = { at: minuteAt(l.rows, el.scrollTop + y), col: (el.scrollLeft + x) / l.colWidth, x, y };
    setNear(near + by);
  };
  usePinch(box, (by, x, y) => zoom(by, x - DAYS_WIDTH, y - BOARD_HEIGHT));
  const closer = (e: MouseEvent) => {
    if (!far) return;
    const at = field.current!.getBoundingClientRect();
    aim.current = { at: minuteAt(l.rows, e.clientY - at.top), col: (e.clientX - at.left) / l.colWidth, x: room / 2, y: 120 };
    setNear(MIDDLE);
  };

  const put = (id: string, dy: number) => {
    const b = l.boxes.find((x) => x.block.id === id);
    const to = b && halfDayAt(l.rows, b.y + dy);
    if (to && minuteText(to.at) !== b.block.start) void act({ do: "move", id, at: minuteText(to.at) });
  };
  const drag = useDrag(field, !far && !locked.value && !recalled.value, put);

  return (
    <>
      <div ref={box} class={far ? "strings far" : near > MIDDLE ? "strings near" : "strings"} role="region" aria-label={w.region} tabIndex={0}>
        <div class="sheet" style={{ width: `${DAYS_WIDTH + l.width}px` }}>
          <div class="top"><div class="corner" /><Board l={l} onEnd={far} /></div>
          <div class="under">
            <Days l={l} />
            <div ref={field} class="cloth" onClick={closer} style={{ width: `${l.width}px`, height: `${l.height}px` }}>
              <Paint l={l} lifted={drag?.id} />
              <Keys l={l} scale={scale} />
              {drag && <Ghost l={l} id={drag.id} dy={drag.dy} />}
            </div>
          </div>
        </div>
      </div>
      <div class="tools">
        <Btn onPress={toToday}>{w.toToday}</Btn>
        <Btn label={w.wider} off={near === 0} onPress={() => zoom(-1)}>−</Btn>
        <Btn label={w.closer} off={near === SCALES.length - 1} onPress={() => zoom(1)}>+</Btn>
        <Legend />
      </div>
    </>
  );
}

/** TWO_LINES is the least height of a row that has room for the month below the day. */
const TWO_LINES = 42;

const todayTop = (l: Layout) => (l.rows.find((r) => r.today || !r.past)?.top ?? 0) - 22;

const Days = ({ l }: { l: Layout }) => (
  <div class="daycol" style={{ height: `${l.height}px` }} aria-hidden="true">
    {l.rows.map((r) => r.label && (
      <div key={r.key} class={`dayname${r.week ? " week" : ""}${r.today ? " today" : ""}${r.folded ? " folded" : ""}`} style={{ top: `${r.top}px`, height: `${r.height}px` }}>
        <span>{(!r.folded && r.height < TWO_LINES ? r.label.split(" ").slice(0, 2).join(" ") : r.label).replace(" ", "\u00a0")}</span>
        {r.note && <span class="why">{r.note}</span>}
      </div>
    ))}
    {l.nowY !== undefined && <div class="nowmark" style={{ top: `${l.nowY}px` }}>{t().strings.now}</div>}
  </div>
);

/** Keys are what a finger, a keyboard or a screen reader meets: one button for each thing drawn. */
function Keys({ l, scale }: { l: Layout; scale: Scale }) {
  /** place keeps the words on what is drawn, wherever the key reaches further than that. */
  const place = (h: Hit) => ({ top: `${h.top}px`, height: `${h.height}px`, ...(h.above + h.below > 0 && { paddingTop: `${h.above}px`, paddingBottom: `${h.below}px` }) });
  const bars = hits(l.bars.map((b) => ({ x: b.labX, w: b.labW, y: b.y, h: l.bar })), scale.hit);
  const boxes = hits(l.boxes, scale.hit);
  const goods = hits(l.goods, scale.hit);
  return (
    <>
      {l.bars.map((b, i) => (
        <a key={b.bar.id} class={`key bar ${b.bar.state}`} aria-label={b.bar.label} href={path("holds", b.bar.id)} data-bar={b.bar.id}
          style={{ left: `${b.labX}px`, width: `${b.labW}px`, ...place(bars[i]!) }}>
          {b.labW < 120 && scale.words ? <Words short name={b.bar.name} w={b.labW} h={l.bar + 5} /> : <span class={b.labX < b.x && !b.signed ? "lab out" : "lab"}>{b.bar.label}</span>}
        </a>
      ))}
      {l.boxes.map((b, i) => (
        <button key={b.block.id} type="button" class={b.h > 70 ? "key block tall" : "key block"} data-block={b.block.id} aria-label={b.block.say} aria-describedby="move-hint"
          style={{ left: `${b.x}px`, width: `${b.w}px`, ...place(boxes[i]!) }}
          onClick={() => go("block", b.block.id)} onKeyDown={(e) => void step(e, b.block.id)}>
          {scale.words && <Words name={b.block.name} w={b.w} h={b.h} />}
        </button>
      ))}
      {l.goods.map((g, i) => (
        <a key={g.goods.id} class={`key goods ${g.goods.state}`} href={path("thing", "order", g.goods.id)} aria-label={g.goods.label}
          style={{ left: `${g.x}px`, width: `${g.w}px`, ...place(goods[i]!) }}>
          {scale.words && <Words name={g.goods.name} w={g.w} h={g.h} />}
        </a>
      ))}
      <span id="move-hint" hidden>{t().strings.moveHint}</span>
    </>
  );
}

/** Words stand on the block itself, also where the key around it is larger than what is drawn. */
function Words({ name, w, h, short }: { name: string; w: number; h: number; short?: boolean }) {
  const f = fit(name, w - 8, h - 5);
  return (
    <span class={short ? "lab short" : "lab"} style={{ fontSize: `${f.size}px`, transform: f.squeeze < 1 ? `scaleX(${f.squeeze})` : "" }}>
      {f.lines.map((line) => <span key={line}>{line + " "}</span>)}
    </span>
  );
}

/** step moves a block with the arrow keys, by what the engine says is half a day for this crew. */
let steps = Promise.resolve();
function step(e: KeyboardEvent, id: string) {
  if ((e.key !== "ArrowUp" && e.key !== "ArrowDown") || e.altKey || e.ctrlKey || e.metaKey || locked.value) return;
  e.preventDefault();
  const key = e.currentTarget as HTMLElement;
  const up = e.key === "ArrowUp";
  steps = steps.then(() => half(key, id, up)); // pressed again meanwhile, it goes on from where this one ends
}

async function half(key: HTMLElement, id: string, up: boolean) {
  const { view } = (await engine({ do: "show", screen: "block", for: id }).catch(() => ({ view: undefined }))) as { view?: View };
  const at = up ? view?.block?.earlier : view?.block?.later;
  if (at) await act({ do: "move", id, at });
  else if (view?.block?.notEarlier) await ask({ do: "show", screen: "strings" });
  key.focus();
  key.scrollIntoView({ block: "nearest", inline: "nearest" });
}

function Ghost({ l, id, dy }: { l: Layout; id: string; dy: number }) {
  const b = l.boxes.find((x) => x.block.id === id);
  const to = b && halfDayAt(l.rows, b.y + dy);
  if (!b || !to) return null;
  return (
    <>
      <div class="target" style={{ top: `${yOf(l.rows, to.at)}px`, width: `${l.width}px` }} />
      <div class="ghost" style={{ left: `${b.x}px`, top: `${b.y + dy}px`, width: `${b.w}px`, height: `${b.h}px` }}>
        <span class="flag">{t().strings.drop(to.label, minuteText(to.at).slice(11) < "12")}</span>
      </div>
    </>
  );
}

function Legend() {
  const w = t().strings;
  return (
    <details class="legend">
      <summary>{w.legend}</summary>
      <ul>{[w.pencilled, w.asked, w.firm, w.taut, w.slack, w.shut, w.signed].map((x) => <li key={x}>{x}</li>)}</ul>
    </details>
  );
}

