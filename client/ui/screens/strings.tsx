import { useLayoutEffect, useMemo, useRef, useState } from "preact/hooks";
import { useSignal, type Signal } from "@preact/signals";
import type { Bar, StringsView, View } from "../view";
import { act, ask, head, locked, read, recalled, views, write } from "../state";
import { engine } from "../bridge";
import { go, path } from "../route";
import { minuteText } from "../clock";
import { t } from "../words";
import { Btn } from "../parts/kit";
import { Board, Outlines, Paint } from "../strings/draw";
import { layout, type Box, type Layout } from "../strings/layout";
import { BEGIN, halfDayAt, inWindow, minuteAt, SCALES, yOf, type Scale } from "../strings/rows";
import { fit, PARTED, SHORT, shown, wide } from "../strings/fit";
import { pinned } from "../strings/bars";
import { hits, type Hit } from "../strings/hit";
import { useDrag } from "../strings/drag";
import { usePinch } from "../strings/pinch";
import { Week } from "../strings/week";

const DAYS_WIDTH = 60;
const BOARD_HEIGHT = 52; // the names and the wood above the first day, about
const NEAR = "bb.near"; // how close one looks, on this phone

export function Strings() {
  const v = views.value.strings?.strings;
  const h = head.value;
  if (!v || !h) return <h1 class="pad">{t().strings.title}</h1>;
  const [finish, ...late] = h.finishLine.split(" · ");
  return (
    <div class="split">
      <div class="hang">
        <div class="strings-head">
          <h1 tabIndex={-1}>{h.site}</h1>
          {v.blocks.length > 0 && h.finishLine && <a class="finish" href={path("odds")}><span>{finish}</span><svg class="go" viewBox="0 0 24 24" aria-hidden="true"><path d="M9 5l7 7l-7 7" /></svg></a>}
          {late.length > 0 && <p class="rust">{late.join(" · ")}</p>}
          {h.tautLine && <p>{h.tautLine}</p>}
        </div>
        {v.blocks.length ? <Picture v={v} now={h.now} /> : <div class="pad stack"><p>{t().strings.empty}</p><a class="btn main" href={path("setup")}>{t().more.setup}</a></div>}
      </div>
      {v.blocks.length > 0 && <Week v={v} now={h.now} />}
    </div>
  );
}

const remembered = () => {
  const n = read(NEAR) === "" ? BEGIN : Number(read(NEAR));
  return SCALES[n] ? n : BEGIN;
};

function Picture({ v, now }: { v: StringsView; now: string }) {
  const box = useRef<HTMLDivElement>(null);
  const field = useRef<HTMLDivElement>(null);
  const left = useSignal(0);
  const [size, setSize] = useState({ room: 332, height: 500 });
  const [near, setNearNow] = useState(remembered);
  const setNear = (n: number) => { write(NEAR, String(n)); setNearNow(n); };
  const scale = useMemo(() => inWindow(SCALES[near]!, size.height), [near, size]);
  const far = !scale.words;
  /** aim is what of the plan is to lie at which place of the window, once the scale has changed. */
  const aim = useRef<{ at: number; col: number; x: number; y: number } | undefined>(undefined);
  const w = t().strings;
  useLayoutEffect(() => {
    const el = box.current!;
    const measure = () => {
      const next = { room: el.clientWidth - DAYS_WIDTH, height: el.clientHeight - BOARD_HEIGHT };
      setSize((was) => (was.room === next.room && Math.abs(was.height - next.height) < 8 ? was : next));
    };
    measure();
    const see = new ResizeObserver(measure);
    see.observe(el);
    return () => see.disconnect();
  }, []);
  const { room } = size;
  const l = useMemo(() => layout(v, now, room, scale, { nothing: w.nothingOn, nobody: w.nobody, deliveries: w.deliveries }), [v, now, room, scale]);
  const to = (x: number | undefined, y: number) => box.current?.scrollTo({ left: x, top: Math.max(0, y), behavior: "instant" as ScrollBehavior });
  const toToday = () => to(undefined, todayTop(l));
  const toTaut = () => { const f = l.chain.first; if (f) to(Math.max(0, f.x - room * 0.6), f.y - 40); };
  useLayoutEffect(() => {
    const then = aim.current;
    aim.current = undefined;
    if (then) to(then.col * l.colWidth - then.x, yOf(l.rows, then.at) - then.y);
    else toToday();
  }, [near, scale]);
  /** zoom keeps in its place what lies under the fingers, or where one reads; x and y count from
   * where the strings begin, beside the days and below the board. */
  const zoom = (by: number, x = 0, y = 24) => {
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
    setNear(BEGIN);
  };

  const put = (id: string, dy: number) => {
    const b = l.boxes.find((x) => x.block.id === id);
    const there = b && halfDayAt(l.rows, b.y + dy);
    if (there && minuteText(there.at) !== b.block.start) void act({ do: "move", id, at: minuteText(there.at) });
  };
  const [asked, setAsked] = useState<Box[]>([]);
  const drag = useDrag(field, !far && !locked.value && !recalled.value, put);

  return (
    <>
      <div ref={box} class={far ? "strings far" : near > BEGIN ? "strings near" : "strings"} role="region" aria-label={w.region} tabIndex={0}
        onScroll={(e) => { left.value = e.currentTarget.scrollLeft; }}>
        <div class="sheet" style={{ width: `${DAYS_WIDTH + l.width}px` }}>
          <div class="top"><div class="corner" /><Board l={l} onEnd={far} /></div>
          <div class="under">
            <Days l={l} />
            <div ref={field} class="cloth" onClick={closer} style={{ width: `${l.width}px`, height: `${l.height}px` }}>
              <Paint l={l} lifted={drag?.id} />
              <Keys l={l} scale={scale} left={left} room={room} ask={setAsked} />
              <Outlines l={l} lifted={drag?.id} />
              {drag && <Ghost l={l} id={drag.id} dy={drag.dy} />}
            </div>
          </div>
        </div>
      </div>
      <div class="tools">
        <Btn onPress={toToday}>{w.toToday}</Btn>
        {l.chain.first && <Btn onPress={toTaut}>{w.toTaut}</Btn>}
        <Btn label={w.wider} off={near === 0} onPress={() => zoom(-1)}>−</Btn>
        <Btn label={w.closer} off={near === SCALES.length - 1} onPress={() => zoom(1)}>+</Btn>
        <Legend />
      </div>
      {asked.length > 0 && <Which boxes={asked} close={() => setAsked([])} />}
    </>
  );
}

/** TWO_LINES is the least height of a row that has room for the month, or a reason, below the day. */
const TWO_LINES = 38;

const PEEK = 18; // px of what is over, above today
/** todayTop is where one looks first: at today, or at the end of a job that is over. */
const todayTop = (l: Layout) => (l.rows.find((r) => r.today || !r.past)?.top ?? l.height) - PEEK;

const Days = ({ l }: { l: Layout }) => (
  <div class="daycol" style={{ height: `${l.height}px` }} aria-hidden="true">
    {l.rows.map((r) => r.label && (r.height > 12 || r.week || r.today) && (
      <div key={r.key} class={`dayname${r.week ? " week" : ""}${r.today ? " today" : ""}${r.folded ? " folded" : ""}`} style={{ top: `${r.top}px`, height: `${r.height}px` }}>
        {(r.folded ? [r.label, r.note] : twoLines(r)).map((line, i) => line && <span key={i} class={i ? "why" : undefined}>{line}</span>)}
      </div>
    ))}
    {l.nowY !== undefined && <div class="nowmark" style={{ top: `${l.nowY}px` }}>{t().strings.now}</div>}
  </div>
);

/** twoLines are weekday and date, and below them the month, or why the day is unlike others, where there is room. */
function twoLines(r: Layout["rows"][number]): string[] {
  const words = r.label.split(" ");
  return [words.slice(0, 2).join(" "), r.height < TWO_LINES ? "" : r.note || words.slice(2).join(" ")];
}

/** place keeps the words on what is drawn, wherever the key reaches further than that. */
const place = (h: Hit) => ({ top: `${h.top}px`, height: `${h.height}px`, ...(h.above + h.below > 0 && { paddingTop: `${h.above}px`, paddingBottom: `${h.below}px` }) });

const TALL = 44; // px from which the words stand at a block's head, as on a drawing

/** Keys are what a finger, a keyboard or a screen reader meets: one button for each thing drawn. */
function Keys({ l, scale, left, room, ask }: { l: Layout; scale: Scale; left: Signal<number>; room: number; ask: (of: Box[]) => void }) {
  // A key of a bar is wide and lies under those of the blocks: it need not shrink for them, they do for it.
  const ofBars = hits(l.bars, scale.hit);
  const ofOthers = hits([...l.boxes, ...l.goods, ...l.bars], scale.hit);
  const [ofBoxes, ofGoods] = [ofOthers, ofOthers.slice(l.boxes.length)];
  const crews = new Map(l.cols.map((c) => [c.id, c.name]));
  /** open asks which one is meant where a thumb lies on several. */
  const open = (e: MouseEvent, b: Box, high: number) => {
    const under = thumb(e) && high < ENOUGH ? underThumb(e, b, l.boxes) : [b];
    if (under.length > 1) ask(under);
    else go("block", b.block.id);
  };
  return (
    <>
      <BarKeys l={l} scale={scale} left={left} room={room} met={ofBars} />
      {l.boxes.map((b, i) => (
        <button key={b.block.id} type="button" class={b.h > TALL ? "key block tall" : "key block"} data-block={b.block.id} aria-label={b.block.say} aria-describedby="move-hint"
          style={{ left: `${b.x}px`, width: `${b.w}px`, ...place(ofBoxes[i]!) }}
          onClick={(e) => open(e, b, ofBoxes[i]!.height)} onKeyDown={(e) => void step(e, b.block.id)}>
          {scale.words > 0 && <Words name={shown(b.block.name, crews.get(b.block.crew) ?? "")} w={b.w} h={b.h} most={scale.words} />}
        </button>
      ))}
      {l.goods.map((g, i) => (
        <a key={g.goods.id} class={`key goods ${g.goods.state}`} href={path("thing", "order", g.goods.id)} aria-label={g.goods.label}
          style={{ left: `${g.x}px`, width: `${g.w}px`, ...place(ofGoods[i]!) }}>
          {scale.words > 0 && <Words name={g.goods.name} w={g.w} h={g.h - 3} most={scale.words} />}
        </a>
      ))}
      <span id="move-hint" hidden>{t().strings.moveHint}</span>
    </>
  );
}

const ENOUGH = 40; // px: a key so high is met by any thumb
const REACH = 16; // px to each side of the middle of a thumb

/** thumb tells a finger from a mouse, a pen and the keyboard. */
const thumb = (e: MouseEvent) => e.detail > 0 && ((e as PointerEvent).pointerType ?? "touch") === "touch" && matchMedia("(pointer: coarse)").matches;

/** underThumb are the blocks of a string that a thumb touches: the one it met, and those close above and below. */
function underThumb(e: MouseEvent, met: Box, boxes: Box[]): Box[] {
  const key = (e.currentTarget as HTMLElement).getBoundingClientRect();
  const middle = met.y + met.h / 2 + e.clientY - (key.top + key.height / 2);
  return boxes.filter((b) => b === met || (b.x < met.x + met.w && met.x < b.x + b.w && b.y < middle + REACH && b.y + b.h > middle - REACH));
}

/** Which lists the blocks under a thumb, each as large as a thumb. */
function Which({ boxes, close }: { boxes: Box[]; close: () => void }) {
  const box = useRef<HTMLDialogElement>(null);
  useLayoutEffect(() => { box.current?.showModal(); }, []);
  return (
    <dialog ref={box} class="which" aria-labelledby="which-one" onClose={close} onClick={(e) => { if (e.target === box.current) close(); }}>
      <h2 id="which-one">{t().strings.which}</h2>
      {boxes.map((b) => <a key={b.block.id} class="row" href={path("block", b.block.id)} onClick={close}><span class="grow"><b>{b.block.name}</b><span class="soft">{b.block.say.split(": ").slice(1).join(": ").replace(`${b.block.name}, `, "")}</span></span></a>)}
      <Btn kind="quiet" onPress={close}>{t().cancel}</Btn>
    </dialog>
  );
}

/** said is what is heard of a bar: what stands on it, where that is its name whole, then the rest. */
const said = (bar: Bar, text = "") => (text.startsWith(bar.name) && !bar.label.startsWith(text) ? text + bar.label.slice(bar.name.length).replace(" · ", ", ") : bar.label);

const LABEL = 13; // px: the letters of a bar's words, as in the style sheet
const LABEL_NEAR = 15;

/** BarKeys are drawn again as one scrolls to the side: their words stay on the screen. */
function BarKeys({ l, scale, left, room, met }: { l: Layout; scale: Scale; left: Signal<number>; room: number; met: Hit[] }) {
  const from = left.value;
  const size = scale.bar > 28 ? LABEL_NEAR : LABEL;
  const labels = scale.words ? pinned(l.bars, l.boxes, from, from + room, (text) => (wide(text) * size) / 100) : [];
  return (
    <>
      {l.bars.map((b, i) => {
        const label = labels[i];
        const x = Math.min(b.x, label?.x ?? b.x);
        const w = Math.max(b.x + b.w, label ? label.x + label.w : 0) - x;
        return (
          <a key={b.bar.id} class={`key bar ${b.bar.state}`} aria-label={said(b.bar, label?.text)} href={path("holds", b.bar.id)} data-bar={b.bar.id} style={{ left: `${x}px`, width: `${w}px`, ...place(met[i]!) }}>
            {label && <span class="lab" aria-hidden={!label.text.startsWith(b.bar.name)} style={{ marginLeft: `${label.x - x}px`, width: `${label.w}px`, height: `${b.h}px`, fontSize: `${size}px` }}>{label.text}</span>}
          </a>
        );
      })}
    </>
  );
}

/** Words stand on the block itself, also where the key around it is larger than what is drawn. */
function Words({ name, w, h, most }: { name: string; w: number; h: number; most: number }) {
  const f = fit(name, w - 8, h - 5, most);
  return (
    <span class="lab" aria-hidden="true" style={{ fontSize: `${f.size}px` }}>
      {f.lines.map((line) => line.endsWith(PARTED) || line.endsWith(SHORT)
        ? <span key={line} class={line.endsWith(PARTED) ? "parted" : "short"}>{line.slice(0, -1)}</span>
        : <span key={line}>{line.endsWith("-") ? line : `${line} `}</span>)}
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

/** Ghost is the block in the hand, and the line where it would be put down, which says its day. */
function Ghost({ l, id, dy }: { l: Layout; id: string; dy: number }) {
  const b = l.boxes.find((x) => x.block.id === id);
  const to = b && halfDayAt(l.rows, b.y + dy);
  if (!b || !to) return null;
  return (
    <>
      <div class="target" style={{ top: `${yOf(l.rows, to.at)}px`, width: `${l.width}px` }}><span class="flag">{t().strings.drop(to.label, minuteText(to.at).slice(11) < "12")}</span></div>
      <div class="ghost" style={{ left: `${b.x}px`, top: `${b.y + dy}px`, width: `${b.w}px`, height: `${b.h}px` }}>{b.block.name}</div>
    </>
  );
}

/** Legend draws each sign as the picture does. */
function Legend() {
  const w = t().strings;
  const box = (cls: string) => <rect class={`box ${cls}`} x="3" y="2" width="28" height="18" rx="4" />;
  const signs = [
    [w.pencilled, box("pencilled")], [w.asked, box("asked")], [w.firm, box("firm")],
    [w.taut, <><path class="taut" d="M0 11H34" /><rect class="card-fill" x="7" y="2" width="20" height="18" rx="4" /><rect class="box heavy" x="7" y="2" width="20" height="18" rx="4" /></>],
    [w.slack, <path class="string" d="M0 11q8.5 16 17 0q8.5 -16 17 0" />],
    [w.held, <path class="lead" d="M2 11H34" />],
    [w.shut, <rect class="barline notAsked" x="0" y="7" width="34" height="8" />], [w.signed, <rect class="barline signed" x="0" y="9" width="34" height="3" />],
  ] as const;
  return (
    <details class="legend">
      <summary>{w.legend}</summary>
      <ul>{signs.map(([text, sign]) => <li key={text}><svg class="paint" width="34" height="22" aria-hidden="true" focusable="false">{sign}</svg>{text}</li>)}</ul>
    </details>
  );
}
