import assert from "node:assert/strict";
import { test } from "node:test";
import type { Answer, Ask, Push } from "./messages";
import { NotMyTurn, Tabs, type TabWord } from "./tabs";

/** dice is a small generator, so that a seed says everything (Marsaglia, "Xorshift RNGs", 2003). */
function dice(seed: number) {
  let x = (seed * 2654435761) >>> 0 || 1;
  return (n: number) => { x ^= x << 13; x >>>= 0; x ^= x >>> 17; x ^= x << 5; x >>>= 0; return x % n; };
}

/** A phone with several tabs and one store. Nothing happens but one step at a time, in an order the seed chooses. */
class World {
  roll: (n: number) => number;
  steps: { tab?: TabOf; run: () => void }[] = [];
  tabs: TabOf[] = [];
  // the store
  turn = 0;
  ops: string[] = [];
  acts = new Set<string>();
  // the lock: who waits, first come first served
  line: TabOf[] = [];
  holder?: TabOf;
  fired: Record<string, number> = {};
  calm = false;

  constructor(seed: number) { this.roll = dice(seed); }

  later(tab: TabOf | undefined, run: () => void) { this.steps.push({ tab, run }); }
  hit(what: string, oneIn: number) {
    if (this.calm || this.roll(oneIn)) return false;
    this.fired[what] = (this.fired[what] ?? 0) + 1;
    return true;
  }
  /** wait is a promise that is kept when the seed says so; never, when the tab is gone by then. */
  wait(tab: TabOf) { return new Promise<void>((done) => this.later(tab, done)); }

  async step() {
    const ready = this.steps.filter((s) => !s.tab || (!s.tab.gone && !s.tab.asleep));
    const first = ready[this.roll(Math.max(1, ready.length))];
    if (first) {
      // Words between two tabs keep their order; anything else may overtake.
      const same = (first as { from?: TabOf }).from;
      const next = same ? ready.find((s) => (s as { from?: TabOf }).from === same && s.tab === first.tab)! : first;
      this.steps.splice(this.steps.indexOf(next), 1);
      next.run();
    }
    for (let i = 0; i < 12; i++) await Promise.resolve();
    this.grant();
    for (let i = 0; i < 12; i++) await Promise.resolve();
    return !!first;
  }

  grant() {
    if (this.holder && !this.holder.gone) return;
    this.line = this.line.filter((t) => !t.gone);
    this.holder = this.line.shift();
    if (this.holder) void this.holder.begin();
  }

  say(from: TabOf, word: TabWord) {
    for (const tab of this.tabs) if (tab !== from && !tab.gone) {
      const copy = structuredClone(word);
      this.steps.push(Object.assign({ tab, run: () => tab.tabs.hear(copy) }, { from }));
    }
  }

  open() {
    const tab = new TabOf(this, `t${this.tabs.length}`);
    this.tabs.push(tab);
    tab.tabs.join();
    this.line.push(tab);
    return tab;
  }
}

class TabOf {
  gone = false;
  asleep = false;
  asked: string[] = [];
  answered: string[] = [];
  n = 0;
  turn = 0;
  tabs: Tabs;

  constructor(private world: World, readonly name: string) {
    this.tabs = new Tabs(name, {
      say: (word) => world.say(this, word),
      show: (m: Answer | Push) => { if (!("push" in m)) this.answered.push(`${name}.${m.n}`); },
      serve: (ask, act, done) => this.serve(ask, act, done !== "no"),
      lost: () => { this.turn = 0; if (world.holder === this) world.holder = undefined; if (!this.gone) world.line.push(this); },
      silence: () => {},
      later: () => () => {},
    });
  }

  /** begin claims the store. */
  async begin() {
    await this.world.wait(this);
    if (this.world.holder !== this) return; // overtaken before it began
    this.turn = ++this.world.turn;
    this.tabs.lead(this.turn);
  }

  act() {
    const n = ++this.n;
    this.asked.push(`${this.name}.${n}`);
    this.tabs.ask({ to: "engine", n, now: "", wall: 0, req: { do: "note" } } as Ask);
  }

  async serve(ask: Ask, name: string, again: boolean): Promise<Answer> {
    const { world, turn } = this; // as the store of this lead has it
    await world.wait(this);
    if (again && world.acts.has(name)) return { n: ask.n };
    await world.wait(this); // the engine works
    if (turn !== world.turn) throw new NotMyTurn(); // what the store looks at, in the transaction that writes
    world.ops.push(name);
    world.acts.add(name);
    if (world.hit("closed after saving", 40)) this.close();
    await world.wait(this); // stored, not answered
    return { n: ask.n };
  }

  close() { this.gone = true; }

  /** steal takes the lock from whoever has it. */
  steal() {
    const { world } = this;
    const had = world.holder;
    if (had === this || this.gone) return;
    world.line = world.line.filter((t) => t !== this);
    world.holder = this;
    if (had && !had.gone) world.later(had, () => { if (had.tabs.leading) had.tabs.resign(); else world.line.push(had); });
    void this.begin();
  }
}

async function play(seed: number): Promise<World> {
  const world = new World(seed);
  world.open();
  for (let i = 0; i < 160; i++) {
    const here = world.tabs.filter((t) => !t.gone);
    const tab = here[world.roll(Math.max(1, here.length))];
    if (!tab || (here.length < 4 && world.hit("opened", 25))) world.open();
    else if (world.roll(4) === 0) tab.act();
    else if (world.hit("closed", 60)) tab.close();
    else if (world.hit("put to sleep", 80)) { tab.asleep = true; }
    else if (tab.asleep && world.hit("woken", 4)) tab.asleep = false;
    else if (!tab.asleep && world.hit("taken over", 60)) tab.steal();
    await world.step();
  }
  world.calm = true;
  for (const tab of world.tabs) tab.asleep = false;
  if (world.tabs.every((t) => t.gone)) world.open();
  for (let i = 0; i < 20_000 && (await world.step()); i++);
  return world;
}

test("every act is done once, whoever leads, closes, sleeps or takes over", async () => {
  const fired: Record<string, number> = {};
  for (let seed = 1; seed <= 200; seed++) {
    const world = await play(seed);
    for (const [k, n] of Object.entries(world.fired)) fired[k] = (fired[k] ?? 0) + n;
    assert.equal(new Set(world.ops).size, world.ops.length, `seed ${seed}: done twice: ${world.ops.join(" ")}`);
    for (const tab of world.tabs) {
      assert.equal(new Set(tab.answered).size, tab.answered.length, `seed ${seed}: ${tab.name} was answered twice`);
      if (tab.gone) continue;
      assert.deepEqual([...tab.answered].sort(), [...tab.asked].sort(), `seed ${seed}: ${tab.name} waits for an answer`);
      for (const name of tab.asked) assert.ok(world.acts.has(name), `seed ${seed}: ${name} was answered and is lost`);
    }
    assert.ok(world.tabs.filter((t) => t.tabs.leading && !t.gone && t.turn === world.turn).length === 1, `seed ${seed}: not one leader: ${world.tabs.map((t) => `${t.name}${t.gone ? "-" : ""}${t.tabs.leading ? "L" : ""}${t.turn}`)} holder ${world.holder?.name} line ${world.line.map((t) => t.name)} turn ${world.turn}`);
  }
  for (const what of ["opened", "closed", "closed after saving", "put to sleep", "woken", "taken over"]) assert.ok((fired[what] ?? 0) > 10, `${what}: ${fired[what] ?? 0} times`);
});

test("a leader that stays silent is noticed, and no longer when it speaks again", () => {
  const said: boolean[] = [];
  let ring = () => {};
  const tab = new Tabs("b", {
    say: () => {}, show: () => {}, serve: async (ask) => ({ n: ask.n }), lost: () => {},
    silence: (now) => said.push(now), later: (_, run) => { ring = run; return () => { ring = () => {}; }; },
  });
  tab.ask({ to: "online", n: 1, now: "", wall: 0 } as Ask);
  ring();
  assert.deepEqual(said, [true]);
  tab.hear({ to: "b", heard: 1 });
  assert.deepEqual(said, [true, false]);
});
