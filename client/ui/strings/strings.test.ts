import assert from "node:assert/strict";
import { test } from "node:test";
import type { Block, StringsView } from "../view";
import { dayText, minuteText, minutes } from "../clock";
import { chance, seeds } from "../chance.test-kit";
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
