import assert from "node:assert/strict";
import { test } from "node:test";
import type { Bar, Block, StringsView } from "../view";
import { dayText, minuteText, minutes } from "../clock";
import { chance, seeds } from "../chance.test-kit";
import { pinned } from "./bars";
import { width } from "./cord";
import { fit, shown, syllables } from "./fit";
import { hits } from "./hit";
import { layout } from "./layout";
import { stepOf } from "./pinch";
import { CLOSE, halfDayAt, inWindow, MID, minuteAt, SCALES, WEEKS, yOf } from "./rows";

const WORDS = { nothing: "nothing on site", nobody: "Nobody's", deliveries: "Deliveries" };
const MONDAY = minutes("2027-04-05T00:00");
const NOW = "2027-04-06T06:40";

/** picture is three crews over two weeks with whatever chance puts on their strings. */
function picture(seed: number): StringsView {
  const pick = chance(seed);
  const days = Array.from({ length: 14 }, (_, i) => ({
    day: dayText(MONDAY + i * 1440), short: `D ${i}`, week: i % 7 === 0, open: 480, close: 1260, today: i === 1, past: i < 1,
    ...(i % 7 > 4 && { shut: "weekend" }),
  }));
  const crews = ["a", "b", "c"].map((id) => ({ id, name: id, trade: "board" }));
  const blocks: Block[] = [];
  for (const crew of crews) {
    for (let day = pick(3); day < 14; day += 1 + pick(4)) {
      if (day % 7 > 4) continue;
      const clock = [480, 750, 1080][pick(3)]!;
      const long = Math.min([60, 120, 240, 510][pick(4)]!, 1260 - clock); // nobody works past nine in the evening
      const from = MONDAY + day * 1440 + clock;
      blocks.push(block(`${crew.id}${day}`, crew.id, from, from + long, pick(3) * 1440));
    }
  }
  return { crews, days, blocks: apart(blocks), bars: [], goods: [], taut: [] };
}

const block = (id: string, crew: string, from: number, to: number, slack: number): Block => ({
  id, crew, name: `work ${id}`, trade: "board", start: minuteText(from), finish: minuteText(to), slackTo: minuteText(to + slack), slack: "", booking: "",
  taut: false, done: 0, started: false, finished: false, late: false, say: id,
});

/** apart leaves out what would overlap on one string: a crew does one thing at a time. */
function apart(blocks: Block[]): Block[] {
  const kept: Block[] = [];
  for (const b of blocks) if (!kept.some((k) => k.crew === b.crew && k.start < b.finish && k.finish > b.start)) kept.push(b);
  return kept;
}

test("law: later is lower, days lie below each other without gaps", () => {
  for (const seed of seeds(200)) {
    for (const scale of SCALES) {
      const l = layout(picture(seed), NOW, 324, scale, WORDS);
      let below = 0;
      for (const r of l.rows) {
        assert.ok(Math.abs(r.top - below) < 0.01 && r.height > 0, `seed ${seed}: ${r.key}`);
        below = r.top + r.height;
      }
      let y = 0;
      for (let m = MONDAY; m < MONDAY + 14 * 1440; m += 30) {
        const next = yOf(l.rows, m);
        assert.ok(next >= y - 0.01, `seed ${seed}: ${minuteText(m)} lies above the half hour before`);
        y = next;
      }
    }
  }
});

test("law: blocks on one string do not cover each other, and each can be hit", () => {
  for (const seed of seeds(200)) {
    for (const scale of [WEEKS, MID, CLOSE]) {
      const l = layout(picture(seed), NOW, 324, scale, WORDS);
      for (const a of l.boxes) {
        assert.ok(a.h >= 8, `seed ${seed}: ${a.block.id} is ${a.h} high`);
        for (const b of l.boxes) {
          const same = a !== b && a.col === b.col && a.x < b.x + b.w && b.x < a.x + a.w;
          assert.ok(!same || a.y + a.h <= b.y + 0.01 || b.y + b.h <= a.y + 0.01, `seed ${seed}: ${a.block.id} (${a.block.start}–${a.block.finish}, ${a.y}+${a.h}) covers ${b.block.id} (${b.block.start}, ${b.y}+${b.h})`);
        }
      }
    }
  }
});

test("law: a thumb on what is drawn meets that and nothing else, and where there is room it need not be exact", () => {
  for (const seed of seeds(200)) {
    for (const scale of [WEEKS, MID, CLOSE]) {
      const { boxes } = layout(picture(seed), NOW, 324, scale, WORDS);
      const met = hits(boxes, scale.hit);
      boxes.forEach((a, i) => {
        const near = boxes.filter((b) => b !== a && b.x < a.x + a.w && a.x < b.x + b.w);
        const { top, height } = met[i]!;
        assert.ok(top <= a.y + 0.01 && top + height >= a.y + a.h - 0.01, `seed ${seed}: part of ${a.block.id} cannot be hit`);
        for (const b of near) assert.ok(top + height <= b.y + 0.01 || top >= b.y + b.h - 0.01, `seed ${seed}: a thumb on ${b.block.id} meets ${a.block.id}`);
        const free = near.every((b) => b.y > a.y + a.h + scale.hit || b.y + b.h < a.y - scale.hit);
        assert.ok(!free || height >= scale.hit - 0.01, `seed ${seed}: ${a.block.id} is ${height} px for a thumb, with room around it`);
      });
    }
  }
});

test("law: everything lies inside its days, and work after a visit below its bar", () => {
  for (const seed of seeds(200)) {
    for (const scale of [WEEKS, MID, CLOSE]) {
      const v = picture(seed);
      const l = layout({ ...v, bars: visits(v, seed) }, NOW, 324, scale, WORDS);
      const row = (m: number) => l.rows.findLast((r) => r.from <= m) ?? l.rows[0]!;
      for (const b of l.boxes) {
        const [first, last] = [row(minutes(b.block.start)), row(minutes(b.block.finish) - 1)];
        assert.ok(b.y >= first.top - 0.01 && b.y + b.h <= last.top + last.height + 0.01, `seed ${seed}: ${b.block.id} (${b.y}+${b.h}) leaves ${first.top}–${last.top + last.height}`);
      }
      for (const a of l.bars) {
        for (const b of l.boxes) {
          if (b.x < a.x || b.x >= a.x + a.w || b.block.start < a.bar.to || b.block.start.slice(11) >= "17:00") continue;
          assert.ok(b.y >= a.y + a.h - 0.01, `seed ${seed}: ${b.block.id} lies on the bar before it`);
        }
      }
    }
  }
});

test("law: the words of a bar stay in the window, off every block and off each other", () => {
  for (const seed of seeds(200)) {
    const v = picture(seed);
    const l = layout({ ...v, bars: visits(v, seed) }, NOW, 324, WEEKS, WORDS);
    for (let left = 0; left <= l.width; left += 17) {
      const right = left + 150;
      const labels = pinned(l.bars, l.boxes, left, right, (text) => text.length * 7);
      labels.forEach((at, i) => {
        if (!at) return;
        const bar = l.bars[i]!;
        assert.ok(at.x >= left && at.x + at.w <= right, `seed ${seed}: "${at.text}" is cut off at ${left}`);
        assert.ok(at.text.includes(bar.bar.brief) || bar.signed, `seed ${seed}: "${at.text}" does not say what to do`);
        const over = (o: { x: number; w: number; y: number; h: number }) => o.x < at.x + at.w && at.x < o.x + o.w && o.y < bar.y + bar.h && bar.y < o.y + o.h;
        for (const b of l.boxes) assert.ok(!over(b), `seed ${seed}: "${at.text}" lies on ${b.block.id}`);
        labels.forEach((other, j) => assert.ok(i === j || !other || !over({ ...other, y: l.bars[j]!.y, h: l.bars[j]!.h }), `seed ${seed}: two labels on each other`));
      });
    }
  }
});

/** visits are a few hold points of half a day, some called in, over some of the strings. */
function visits(v: StringsView, seed: number): Bar[] {
  const pick = chance(seed + 1000);
  return [1, 2, 3, 8, 9].map((day) => {
    const at = MONDAY + day * 1440 + [480, 750][pick(2)]!;
    const on = v.crews.map((c) => c.id).filter(() => pick(2));
    return {
      id: `visit${day}`, name: ["Framing", "Rough electrical in the old wing", "Lath"][pick(3)]!, state: ["notAsked", "calledIn", "signed"][pick(3)]!,
      at: minuteText(at), to: minuteText(at + 240), label: "", brief: "call Wed noon", blocks: on.length ? on : ["a"], taut: false,
    };
  });
}

test("two weeks of full days fit between the board and the tools of a phone", () => {
  const days = [0, 1, 2, 3, 4, 7, 8, 9, 10, 11];
  const v = { ...picture(1), blocks: days.map((d) => block(`d${d}`, "a", MONDAY + d * 1440 + 480, MONDAY + d * 1440 + 990, 0)), bars: [] };
  const window = 844 - 48 - 60 - 52 - 58 - 62; // a phone of 390 by 844, less what stands around the picture
  const rows = layout(v, NOW, 330, inWindow(WEEKS, window), WORDS).rows;
  const last = rows.find((r) => r.key === dayText(MONDAY + 11 * 1440))!;
  assert.ok(last.top + last.height <= window, `${last.top + last.height} of ${window}`);
});

test("law: a name on its block is never wider than the block, nor empty", () => {
  const measure = (text: string) => [...text].reduce((sum, c) => sum + ("il.,-' ".includes(c) ? 30 : "mwMW".includes(c) ? 90 : 58), 0);
  const names = ["Rough-in", "Fireblock", "Channel, ceiling", "Close vent, patch", "Impermeabilización del muro", "Extraordinarilylongwordwithoutend", "Second coat", "of the", "墙"];
  for (const name of names) {
    for (let w = 30; w < 140; w += 7) {
      for (const h of [12, 18, 30, 44, 80]) {
        const f = fit(name, w, h, 14, measure);
        assert.ok(f.lines.length > 0 && f.lines.every((line) => line), `${name} in ${w}×${h}`);
        assert.ok(f.lines.length === 1 || f.lines.length * f.size <= h, `${name} in ${w}×${h}: ${f.lines.length} lines of ${f.size}`);
        for (const line of f.lines) assert.ok(measure(line) * f.size / 100 <= w + 0.01, `"${line}" in ${w} px`);
      }
    }
  }
});

test("a word is parted so that each part can be said, and what the string says already is left out", () => {
  for (const word of ["Fireblock", "Insulation", "Plumbing", "Channel", "Instalación", "Encintado", "Waterproofing", "Weatherstripping"]) {
    const parts = syllables(word);
    assert.equal(parts.join(""), word);
    for (const part of parts) assert.match(part, /[aeiouyáéíóú]/i, `${word}: ${parts}`);
  }
  assert.deepEqual(syllables("Fireblock"), ["Fire", "block"]);
  assert.deepEqual(syllables("Rough-in"), ["Rough-", "in"]);
  assert.equal(shown("Board, layer 2", "Board"), "Layer 2");
  assert.equal(shown("Channel, walls", "Carpentry"), "Channel, walls");
});

test("law: more slack swings wider, none is straight", () => {
  assert.equal(width(0, 14), 0);
  for (let d = 0.25; d < 60; d += 0.25) assert.ok(width(d, 14) >= width(d - 0.25, 14) && width(d, 14) <= 14);
  assert.ok(width(0.5, 14) >= 3, "half a day can be seen");
  const at = (h: number) => MONDAY + h * 60;
  const draw = (slack: number) => layout({ ...picture(1), blocks: [block("x", "a", at(8), at(16), slack)] }, NOW, 324, MID, WORDS).strings[0]!;
  assert.ok(draw(1440).includes("q") && !draw(0).includes("q"));
});

test("the chain begins with a lead down the string of the crew that holds it, or at the visit", () => {
  const v = picture(1);
  const q = block("q", "b", MONDAY + 2880 + 480, MONDAY + 2880 + 990, 0);
  const r = block("r", "b", MONDAY + 4320 + 480, MONDAY + 4320 + 990, 0);
  const own = layout({ ...v, blocks: [q, r], taut: [["q", "r"]] }, "2027-04-01T08:00", 324, MID, WORDS);
  assert.equal(own.chain.lead, `M${own.chain.first!.x} 0V${own.boxes[0]!.y}`);
  const visit = { ...visits(v, 1)[0]!, id: "visit", state: "notAsked", blocks: ["b"] };
  const held = layout({ ...v, blocks: [q, r], bars: [visit], taut: [["visit", "q"], ["q", "r"]] }, NOW, 324, MID, WORDS);
  assert.equal(held.chain.lead, "");
  assert.ok(held.chain.line.startsWith(`M${held.boxes[0]!.x + held.boxes[0]!.w / 2} ${held.bars[0]!.y}L`), held.chain.line);
});

test("a working day is about as high as its scale says, whatever the owner does in the evening", () => {
  const at = (h: number) => MONDAY + h * 60;
  const v = { ...picture(1), blocks: [block("x", "a", at(8), at(16.5), 0), block("y", "b", at(18), at(19), 0)] };
  const row = layout(v, NOW, 324, MID, WORDS).rows[0]!;
  assert.ok(row.height >= MID.day && row.height < MID.day * 1.8, `${row.height}`);
});

test("days without anything are folded, a weekend to a thin line", () => {
  const v = { ...picture(1), blocks: [block("x", "a", MONDAY + 480, MONDAY + 990, 0)] };
  const rows = layout(v, NOW, 324, MID, WORDS).rows;
  assert.equal(rows[0]!.folded, false);
  const wednesday = rows[2]!;
  assert.ok(wednesday.folded && wednesday.label === "D 2 – D 4", wednesday.label);
  assert.ok(rows[3]!.label === "" && rows[3]!.height < MID.fold, "the weekend");
});

test("where a block is let go is the half-day nearest to it", () => {
  const v = picture(7);
  const l = layout(v, NOW, 324, MID, WORDS);
  for (const r of l.rows.filter((x) => !x.folded)) {
    assert.equal(halfDayAt(l.rows, r.top)!.at, r.from);
    assert.ok(Math.abs(minuteAt(l.rows, r.top + 1) - r.from) < 120);
  }
});

test("the chalk line runs under a hold from block to block", () => {
  const v = picture(1);
  const [a, b] = [block("p", "a", MONDAY + 480, MONDAY + 990, 0), block("q", "b", MONDAY + 2880 + 480, MONDAY + 2880 + 990, 0)];
  const l = layout({ ...v, blocks: [a, b], taut: [["p", "hold"], ["hold", "q"]] }, NOW, 324, MID, WORDS);
  const [p, q] = l.boxes;
  assert.equal(l.chain.line, `M${p!.x + p!.w / 2} ${p!.y + p!.h}L${q!.x + q!.w / 2} ${q!.y}`);
});

test("two fingers must go a third further apart, or together, for one step of the scale", () => {
  assert.deepEqual([100, 130, 140, 80, 70].map((now) => stepOf(100, now)), [0, 0, 1, 0, -1]);
});
