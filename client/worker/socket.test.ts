import assert from "node:assert/strict";
import { mock, test } from "node:test";
import { Wire } from "./socket";

class Line {
  static OPEN = 1;
  static all: Line[] = [];
  readyState = 0;
  bufferedAmount = 0;
  sent: string[] = [];
  onopen?: () => void;
  onmessage?: (e: { data: string }) => void;
  onclose?: (e: { code: number }) => void;
  constructor() { Line.all.push(this); }
  send(text: string) { this.sent.push(text); }
  close() { this.readyState = 3; }
  open() { this.readyState = 1; this.onopen!(); }
  hangUp(code: number) { this.readyState = 3; this.onclose!({ code }); }
}

/** wire lays one on which time passes only when the test says so. */
function wire() {
  mock.timers.enable({ apis: ["setTimeout", "setInterval"] });
  Object.assign(globalThis, { WebSocket: Line, location: new URL("http://site.example/") });
  Line.all = [];
  const ends: string[] = [];
  const w = new Wire("s", { opened: () => ends.push("opened"), frame: (text) => ends.push(text), closed: (why) => ends.push(why) });
  return { w, ends, last: () => Line.all.at(-1)!, over: () => { w.hangUp(); mock.timers.reset(); } };
}

const seconds = (n: number) => { for (let i = 0; i < n; i++) mock.timers.tick(1_000); };

test("a line that nobody answers on is given up, and laid anew", () => {
  const { w, ends, last, over } = wire();
  last().open();
  w.send(["hello"]);
  seconds(20);
  assert.deepEqual(ends, ["opened"]);
  seconds(15);
  assert.deepEqual(ends, ["opened", "cut"]);
  seconds(3);
  assert.equal(Line.all.length, 2);
  over();
});

test("a line that is never there is given up as well", () => {
  const { ends, over } = wire();
  seconds(40);
  assert.equal(ends[0], "cut");
  assert.ok(Line.all.length > 1);
  over();
});

test("who is silent and was asked nothing, and who takes long to be told, keeps the line", () => {
  const { w, ends, last, over } = wire();
  last().open();
  seconds(600);
  w.send(["push"]);
  for (last().bufferedAmount = 100; last().bufferedAmount > 0; last().bufferedAmount--) seconds(10); // a slow line, but it goes out
  last().onmessage!({ data: "ack" });
  seconds(600);
  assert.deepEqual(ends, ["opened", "ack"]);
  assert.equal(Line.all.length, 1);
  over();
});

test("a server that stores nothing is asked less and less often, up to twice a minute", () => {
  const { ends, last, over } = wire();
  const waits: number[] = [];
  for (let i = 0; i < 12; i++) {
    last().open();
    const before = Line.all.length;
    last().hangUp(4507);
    let waited = 0;
    for (; Line.all.length === before; waited++) seconds(1);
    waits.push(waited);
  }
  assert.equal(ends.filter((e) => e === "full").length, 12);
  assert.ok(waits[0]! <= 2 && waits.slice(-3).every((s) => s >= 14 && s <= 31), waits.join());
  over();
});

test("a line that was cut is laid anew at once, however often", () => {
  const { last, over } = wire();
  for (let i = 0; i < 12; i++) {
    last().open();
    const before = Line.all.length;
    last().hangUp(1006);
    seconds(2);
    assert.equal(Line.all.length, before + 1);
  }
  over();
});
