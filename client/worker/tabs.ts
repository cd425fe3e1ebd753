// Several tabs of one phone are one device. One of them leads: it alone has the engine, the store and
// the wire. The others hand it what their screen asks and hear what it answers:
//
//	tab B   ask ──▶           ──▶ (B's tab is asked again by whoever leads next)
//	tab A        heard, answer     closed here, with B's act stored but not answered
//	tab B        leads: finds the act's name beside its operations, does it no second time
//
// Who leads is decided outside (locks, or turns where there are none). Here is what makes it safe that
// a leader goes at any moment: every ask has a name of its own, is kept until it is answered, and is
// asked again of the next leader. An ask says which leader it was meant for, because words may arrive
// late: one meant for another may be done already. The store keeps the name with the operations it led to, in
// one transaction, and takes writes only from the tab whose turn it is (store.ts).
import type { Answer, Ask, Push, Status } from "./messages";

/** What the tabs say to each other. */
export type TabWord =
  | { tab: string; ask: Ask; for: number } // the turn of the leader it is meant for; 0: nobody known; -1: asked before
  | { to: string; heard: number }
  | { to: string; answer: Answer }
  | { push: Push; turn: number; but?: string }
  | { leads: string; turn: number }
  | { new: string };

/** What a tab can do, of its own. */
export interface Hands {
  say(word: TabWord): void;
  show(message: Answer | Push): void;
  /** serve does what is asked, as the leader; name is the act's. */
  serve(ask: Ask, name: string, done: Done): Promise<Answer>;
  /** lost: another tab leads now. */
  lost(): void;
  /** silence: the leader has not heard an ask for long. */
  silence(silent: boolean): void;
  later(ms: number, run: () => void): () => void;
}

/** Done says whether an ask may be done already: surely not; perhaps; it was in the hands of a leader that is gone. */
export type Done = "no" | "perhaps" | "inHand";

/** NotMyTurn is thrown by serve when the store takes nothing from this tab any more. */
export class NotMyTurn extends Error {}

/** How long a leader may take to hear: longer than any single calculation on a slow phone. */
export const PATIENCE = 10_000;

interface Open { ask: Ask; again: boolean; heard: boolean; passed: boolean }

export class Tabs {
  leading = false;
  turn = 0;
  private open = new Map<number, Open>();
  private doing = new Map<string, Promise<unknown>>();
  private status?: Status;
  private leader = 0; // the turn of whoever leads, as last heard
  private calm?: () => void;

  constructor(readonly me: string, private hands: Hands) {}

  /** join tells the others that this tab is here; whoever leads says how things are. */
  join() { this.hands.say({ new: this.me }); }

  /** lead: this tab has the turn from here on; what is still open is asked of it, in order. */
  lead(turn: number) {
    this.leading = true;
    this.turn = turn;
    this.quiet();
    this.hands.say({ leads: this.me, turn });
    for (const o of [...this.open.values()]) {
      void this.serve(this.me, o.ask, o.again || o.heard || this.leader ? "inHand" : o.passed ? "perhaps" : "no");
    }
  }

  /** resign: another tab has the turn. What this tab's screen waits for is asked there. */
  resign() {
    if (!this.leading) return;
    this.leading = false;
    this.doing.clear();
    this.hands.lost();
    this.askAll();
  }

  /** ask takes what this tab's screen asks. */
  ask(ask: Ask) {
    this.open.set(ask.n, { ask, again: false, heard: false, passed: false });
    if (this.leading) void this.serve(this.me, ask, "no");
    else this.pass(ask.n);
  }

  /** hear takes what another tab says. */
  hear(word: TabWord) {
    if ("leads" in word) return this.hearLeader(word.turn);
    if ("ask" in word) { if (this.leading) this.take(word.tab, word.ask, word.for); return; }
    if ("new" in word) { if (this.leading && this.status) this.hands.say({ push: { push: "status", status: this.status }, turn: this.turn }); return; }
    if (this.leading) return;
    if ("push" in word) {
      this.quiet();
      this.leader = Math.max(this.leader, word.turn);
      if (word.but !== this.me) this.hands.show(word.push);
      return;
    }
    if (word.to !== this.me) return;
    if ("heard" in word) {
      const o = this.open.get(word.heard);
      if (o) o.heard = true;
      this.quiet();
    } else if ("answer" in word) this.answered(word.answer);
  }

  /** push tells every screen of the phone, but that of one tab if it knows already. */
  push(push: Push, but?: string) {
    if (push.push === "status") this.status = push.status;
    if (this.leading) this.hands.say({ push, but, turn: this.turn });
    if (but !== this.me) this.hands.show(push);
  }

  private hearLeader(turn: number) {
    if (this.leading && turn <= this.turn) return;
    this.leader = Math.max(this.leader, turn);
    if (this.leading) return this.resign();
    this.quiet();
    this.askAll();
  }

  /** askAll asks again what is open: it may be done already, if a leader went before it could answer. */
  private askAll() {
    for (const [n, o] of this.open) {
      o.again = true;
      o.heard = false;
      this.pass(n);
    }
  }

  private pass(n: number) {
    const o = this.open.get(n)!;
    o.passed = true;
    this.hands.say({ tab: this.me, ask: o.ask, for: o.again ? -1 : this.leader });
    this.calm ??= this.hands.later(PATIENCE, () => {
      this.calm = undefined;
      if (!this.leading && [...this.open.values()].some((x) => !x.heard)) this.hands.silence(true);
    });
  }

  private quiet() {
    this.calm?.();
    this.calm = undefined;
    this.hands.silence(false);
  }

  private take(tab: string, ask: Ask, meant: number) {
    this.hands.say({ to: tab, heard: ask.n });
    void this.serve(tab, ask, meant === this.turn ? "no" : meant === 0 ? "perhaps" : "inHand");
  }

  /** serve does an ask once, however often it comes. */
  private async serve(tab: string, ask: Ask, done: Done) {
    const name = `${tab}.${ask.n}`;
    if (this.doing.has(name)) return; // its answer is on its way
    const work = this.hands.serve(ask, name, done);
    this.doing.set(name, work);
    try {
      const answer = await work;
      if (!this.leading) return; // resigned meanwhile: the next leader answers
      if (tab === this.me) this.answered(answer);
      else this.hands.say({ to: tab, answer });
    } catch (e) {
      if (!(e instanceof NotMyTurn)) throw e;
      this.resign(); // nothing of it is stored; whoever has the turn does it
    } finally {
      if (this.doing.get(name) === work) this.doing.delete(name);
    }
  }

  private answered(answer: Answer) {
    if (this.open.delete(answer.n)) this.hands.show(answer);
  }
}
