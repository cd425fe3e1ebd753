// One phone: its store, its engine, its wire, and the site that is open. Everything that touches the
// engine goes through one queue, so what a person did first is stored first.
import type { Ask, Clock, Intent, Push, SiteLine, Status, Told, Trouble } from "./messages";
import { civil } from "../ui/clock";
import { Engine, type Raw, type Reply } from "./engine";
import { Queue } from "./queue";
import { fields } from "./slice";
import { Photos } from "./photos";
import { type Act, isFull, Store } from "./store";
import { NotMyTurn } from "./tabs";
import { Wire } from "./socket";
import * as server from "./server";
import type { Request } from "../ui/view";

export class Trip extends Error {
  constructor(readonly trouble: Trouble) { super(trouble.code); }
}

/** Done is the answer to an act: the view, and whether something was written that other screens must show. */
export interface Done { view?: string; wrote: boolean }

/** So long a phone without a site waits before it asks again whether somebody is there. */
const AGAIN = 5_000;

/** unlessFull lets go of what a full phone can do without. */
const unlessFull = (e: unknown) => { if (!isFull(e)) throw e; };

const actOf = (name: string, at: number, view?: string): Act => {
  const f = view ? fields(view) : {};
  const text = (v?: string) => (v ? (JSON.parse(v) as string) : undefined);
  return { name, at, said: text(f.said), added: text(f.added) };
};

export class Phone {
  readonly status: Status = { phase: "starting", site: "", sites: [], link: "off", known: "unsure", full: false, held: false, demo: false, spares: 0, pictures: 0, senders: [] };
  private queue = new Queue();
  private heard = 0; // words of the wire that wait for their turn
  private store!: Store;
  private instance?: Promise<Engine>; // the compiled planner, whatever it has open
  private held?: { site: string; engine: Promise<Engine> }; // the same with a site open in it
  private owed?: Reply; // what opening a site led to and found no room
  private wire?: Wire;
  private photos?: Photos;
  private spares: server.Spare[] = [];
  private clock: Clock & { at: number } = { now: "", wall: 0, at: 0 };
  private lang = "en";
  private invited = false; // opened with a code in hand
  private gone = false; // another tab has the turn
  private greeting?: Promise<void>;
  private letIn = 0; // so many times since the start
  private seats?: Set<string>; // sites the server knows this phone on, and those it may begin; as last heard

  constructor(private post: (message: Push) => void, private claimed: (turn: number) => void, private ousted: () => void) {}

  // ---- coming and going

  /** start opens the store and the site last looked at; the network may answer later or never. */
  async start(lang: string, site: string, invited: boolean) {
    this.lang = lang;
    this.invited = invited;
    void this.load();
    const elsewhere = () => { this.leave(); this.tell({ phase: "elsewhere", link: "off", why: { code: "elsewhere" } }); };
    this.store = await Store.open(elsewhere, () => this.ousted()) // closed by the browser, as when its data is cleared: open it afresh
      .catch((e: unknown) => { throw new Trip({ code: e instanceof DOMException && e.name === "VersionError" ? "newer" : "noStore" }); });
    if (this.gone) { this.store.close(); throw new NotMyTurn(); } // somebody took the turn while the store was opened
    this.claimed(await this.store.claim(this.clock.wall));
    this.status.sites = await this.store.sites();
    this.spares = (await this.store.word<server.Spare[]>("spares")) ?? [];
    this.status.senders = (await this.store.word<string[]>("senders")) ?? [];
    const last = this.site(site) ?? this.site((await this.store.word<string>("last")) ?? "") ?? this.status.sites[0];
    if (last) await this.open(last.id);
    else this.tell({ phase: this.status.phase === "starting" ? "starting" : "none" });
    void this.greet().then(() => this.status.site || this.tell({ phase: "none" }));
  }

  /** leave lets go of everything: another tab has the turn. */
  leave() {
    this.gone = true;
    this.wire?.hangUp();
    this.wire = undefined;
    this.photos?.close();
    this.photos = undefined;
    this.store?.close();
    this.drop();
  }

  /** wind takes the screen's clock, as the wall clock of the site's zone shows it; between messages the worker only counts on from it. */
  wind(told: Told) { this.clock = { now: civil(new Date(told.wall), told.zone), wall: told.wall, at: performance.now() }; }

  private time(): Clock {
    return { now: this.clock.now, wall: this.clock.wall + Math.round(performance.now() - this.clock.at) };
  }

  private tell(change: Partial<Status> = {}) {
    Object.assign(this.status, change, { spares: this.spares.length });
    if (this.seats && (this.status.known === "paired" || this.status.known === "revoked")) {
      this.status.known = !this.status.site || this.seats.has(this.status.site) ? "paired" : "revoked";
    }
    this.post({ push: "status", status: this.status });
  }

  private load(): Promise<Engine> {
    if (!this.instance) {
      this.instance = Engine.load();
      this.instance.catch(() => this.drop());
    }
    return this.instance;
  }

  /** drop forgets the planner; the next request starts a fresh one from what is stored. */
  private drop() { this.instance = this.held = this.owed = undefined; }

  /** startOver is drop while there may be a connection: it was the old planner's, the fresh one has not said hello. */
  private startOver() {
    this.drop();
    this.wire?.again();
  }

  // ---- the engine

  /**
   * intent runs one request of the screen and answers with the view, after everything is stored. seen is the
   * site it was meant for; name is the act's; again says that a tab that is gone may have done it: then it is only shown.
   */
  intent(req: Intent, seen: string, name: string, again: boolean): Promise<Done> {
    return this.queue.add(async () => {
      if (req.do !== "show" && seen !== (this.held?.site ?? this.status.site)) throw new Trip({ code: "otherSite" });
      const act = again ? await this.store.act(name) : undefined;
      if (act) return this.shownAgain(req, act);
      const { view, ops } = await this.run({ ...req }, undefined, name);
      return { view, wrote: ops.length > 0 };
    });
  }

  /** shownAgain is the screen after an act whose answer got lost, with what was said about it. */
  private async shownAgain(req: Intent, act: Act): Promise<Done> {
    const { screen, for: about, day, kind } = req;
    const { view } = await this.run({ do: "show", screen: screen ?? "today", for: about, day, kind });
    if (!view || !(act.said || act.added)) return { view, wrote: false };
    const { said, added } = act;
    return { view: JSON.stringify({ ...(JSON.parse(view) as object), said, added }), wrote: false };
  }

  /**
   * run asks the planner about the site it has open. That may still be the one before, when another is to be
   * opened and this stood in the queue ahead of it: what comes of it is kept and sent under its own site.
   */
  private async run(req: Partial<Request>, raw?: Raw, name?: string): Promise<Reply> {
    if (!this.held && !this.site(this.status.site)) throw new Trip({ code: "stumbled" });
    const { site } = (this.held ??= this.holding(this.status.site));
    const engine = await this.held.engine;
    let reply: Reply;
    try {
      reply = engine.call({ ...this.time(), ...req }, raw);
    } catch (e) {
      console.error(e);
      // Nothing of this request is stored; the next one starts from what is.
      this.startOver();
      throw new Trip({ code: "stumbled", text: e instanceof Error ? e.message : String(e) });
    }
    await this.keep(site, reply, name);
    if (reply.failed) this.failed(req, reply.failed);
    if (this.wire?.site === site) this.wire.send(reply.frames);
    if (reply.want.length && site === this.status.site) void this.photos?.wanted(reply.want).catch(() => undefined);
    return reply;
  }

  /** failed: of a frame, call the server anew; of an intent, start a fresh planner from what is stored. */
  private failed(req: Partial<Request>, why: string): never {
    console.error(req.do, why);
    if (req.do === "frame") this.wire?.again();
    else this.startOver();
    throw new Trip({ code: "stumbled", text: why });
  }

  /** put stores what a reply asks for, with what is owed from before. */
  private async put(site: string, reply: Reply, name?: string) {
    const { ops: owed = [], meta = undefined, names = undefined } = this.owed ?? {};
    const all = { ops: [...owed, ...reply.ops], meta: reply.meta ?? meta, names: names || reply.names ? { ...names, ...reply.names } : undefined };
    if (!all.ops.length && !all.meta && !all.names) return;
    const act = name && reply.ops.length ? actOf(name, this.time().wall, reply.view) : undefined;
    await this.store.keep(site, all.ops, all.meta, all.names, act);
    this.owed = undefined;
    if (this.status.full) this.tell({ full: false });
  }

  /** owe remembers what found no room; it is kept with the next thing that does. */
  private owe(reply: Reply) {
    const { ops = [], meta = undefined, names = undefined } = this.owed ?? {};
    this.owed = { ...reply, view: undefined, ops: [...ops, ...reply.ops], meta: reply.meta ?? meta, names: { ...names, ...reply.names } };
    this.tell({ full: true });
  }

  private async keep(site: string, reply: Reply, name?: string) {
    try {
      await this.put(site, reply, name);
    } catch (e) {
      // The engine now knows something the store does not: forget it, or it would be shown as saved.
      if (e instanceof NotMyTurn) { this.drop(); this.ousted(); throw e; }
      if (isFull(e) && !reply.ops.length && !reply.frames.length) return this.owe(reply); // only a look: it may be shown
      this.startOver();
      if (!isFull(e)) throw new Trip({ code: "stumbled", text: String(e) });
      this.tell({ full: true });
      throw new Trip({ code: "noRoom" });
    }
  }

  private holding(site: string) { return { site, engine: this.reopen(site) }; }

  /** reopen starts a fresh engine with what is stored of a site. */
  private async reopen(site: string): Promise<Engine> {
    const engine = await this.load();
    const line = this.site(site)!;
    const { raws, meta, names } = await this.store.load(site);
    const reply = engine.call({ ...this.time(), do: "open", site, device: line.num, role: line.role, lang: this.lang, names, name: line.name },
      { ops: raws, meta });
    if (reply.failed) throw new Trip({ code: "stumbled", text: reply.failed });
    this.owed = undefined;
    await this.put(site, reply).catch((e: unknown) => {
      if (e instanceof NotMyTurn) this.ousted();
      if (!isFull(e)) throw e;
      // A full phone shows what it has. What the planner made of that is kept with the next thing, before anything is sent.
      this.owe(reply);
    });
    return engine;
  }

  // ---- sites

  private site(id: string): SiteLine | undefined { return this.status.sites.find((s) => s.id === id); }

  async open(id: string) {
    if (!this.site(id)) throw new Trip({ code: "stumbled" });
    this.wire?.hangUp();
    this.photos?.close();
    this.tell({ phase: "starting", site: id, link: "off", pictures: 0, untaken: undefined, held: false });
    this.photos = this.album(id);
    await this.queue.add(async () => {
      await this.count(id).catch((e: unknown) => { if (e instanceof NotMyTurn) throw e; });
      this.held = this.holding(id);
      await this.held.engine;
      await this.store.setWord("last", id).catch(unlessFull);
    });
    if (this.gone || id !== this.status.site) return; // another was opened meanwhile: it says the rest
    this.tell({ phase: "open" });
    this.photos?.go();
    this.dial();
  }

  /** count notes what the site that is left for another has not sent: nobody sees it until it is opened again. */
  private async count(next: string) {
    const site = this.held?.site;
    if (!site || site === next || !this.site(site)) return;
    const { view } = await this.run({ do: "show", screen: "more" });
    const { unsent } = (JSON.parse(view ?? "{}") as { head?: { unsent?: number } }).head ?? {};
    await this.remember({ ...this.site(site)!, unsent });
  }

  /** album is the pictures of one site. One that is closed may ask on for a moment; it hears nothing of another site. */
  private album(site: string): Photos {
    const mine: Photos = new Photos({
      store: this.store, site, now: () => this.time().wall,
      writes: () => this.site(site)?.role !== "viewer",
      files: () => this.queue.add(async () => {
        if (this.photos !== mine) throw new Trip({ code: "stumbled" });
        return (await this.run({ do: "files" })).files ?? { epoch: "", files: [] };
      }),
      came: () => this.post({ push: "pictures" }),
      due: (n) => { if (this.photos === mine && n !== this.status.pictures) this.tell({ pictures: n }); },
      untaken: (n, why) => { if (this.photos === mine) this.tell({ untaken: { n, why } }); },
    });
    return mine;
  }

  /** picture keeps a photo or a paper on this phone, then writes down that there is one, then hands it in. */
  async picture(ask: Extract<Ask, { to: "photo" | "paper" }>, name: string, again: boolean): Promise<Done> {
    const photos = this.photos;
    if (!photos) throw new Trip({ code: "stumbled" });
    let req: Intent;
    try {
      if (ask.to === "paper") {
        const [file] = await photos.keep(ask.bytes);
        req = { ...ask.req, do: "paper", id: ask.on, name: ask.name, fields: { file, type: ask.type, size: ask.bytes.byteLength } };
      } else {
        const [file, small] = await photos.keep(ask.big, ask.small);
        req = { ...ask.req, do: "photo", id: ask.on, said: ask.said, fields: { file, small, wide: ask.wide, high: ask.high, ...ask.taken } };
      }
    } catch (e) {
      if (e instanceof NotMyTurn) throw e;
      throw new Trip({ code: isFull(e) ? "noRoom" : "stumbled", text: String(e) });
    }
    const done = await this.intent(req, ask.seen, name, again);
    photos.go();
    return done;
  }

  async look(file: string): Promise<ArrayBuffer> {
    if (!this.photos) throw new Trip({ code: "stumbled" });
    return this.photos.look(file);
  }

  async speak(lang: string) {
    this.lang = lang;
    await this.queue.add(async () => {
      if (!this.held) return; // whoever opens it next does so in the new language
      this.held = this.holding(this.held.site);
      await this.held.engine;
    });
    if (this.status.link === "on") this.dial();
  }

  private async remember(line: SiteLine) {
    await this.store.putSite(line);
    this.status.sites = await this.store.sites();
    this.tell();
  }

  async forget(id: string) {
    if (id === this.status.site) { // nothing more comes in for it
      this.wire?.hangUp();
      this.photos?.close();
    }
    await this.queue.add(async () => {
      await this.store.forget(id);
      this.status.sites = await this.store.sites();
      if (this.held?.site === id) this.held = undefined;
    });
    void server.pushOff(id).catch(() => undefined); // no word of it comes here any more
    if (id !== this.status.site) return this.tell();
    const next = this.status.sites[0];
    if (next) return this.open(next.id);
    this.tell({ site: "", phase: "none", link: "off" });
  }

  /** born starts a site on this phone alone, under an ID the server minted ahead. */
  async born(name: string): Promise<string> {
    const spare = this.spares.shift();
    if (!spare) throw new Trip({ code: "noSpare" });
    const { id, num = 1 } = typeof spare === "string" ? { id: spare } : spare;
    await this.store.setWord("spares", this.spares);
    await this.remember({ id, name, role: "owner", num, born: true });
    await this.open(id);
    return id;
  }

  // ---- the server

  /**
   * greet asks who we are. Without signal nothing changes: the phone goes on with what it has. A phone that
   * nobody knows yet looks in at the demo site, unless it is being let in somewhere else.
   */
  private greet(): Promise<void> {
    return (this.greeting ??= this.meet().finally(() => { this.greeting = undefined; }));
  }

  private async meet(): Promise<void> {
    const { letIn } = this;
    try {
      const me = await server.me();
      if (letIn !== this.letIn) return this.meet(); // what was true before is not any more
      await this.learn(me);
    } catch (e) {
      if (letIn !== this.letIn) return this.meet();
      // No answer, or a server that is not well, says nothing about this phone. Nobody else asks for a phone without a site.
      if (!this.gone && !this.status.site) setTimeout(() => void (this.gone || this.greet()), AGAIN);
      return;
    }
    if (!this.invited && this.status.demo && !this.status.sites.length && this.status.known === "no") {
      await server.demo("").then((p) => this.entered(p, !this.status.site)).catch(() => undefined);
    }
  }

  private async learn(me: server.Me) {
    this.seats = new Set([...(me.sites ?? []), ...(me.spares ?? [])].map((s) => (typeof s === "string" ? s : s.id)));
    if (!me.device) return this.tell({ known: this.status.sites.length ? "revoked" : "no", demo: !!me.demo });
    for (const s of me.sites ?? []) {
      await this.queue.add(async () => { // in turn with forget
        const was = this.site(s.id);
        if (!was && (await this.store.off()).includes(s.id)) return; // the server has it for this phone, but here somebody took it off
        if (!was || was.name !== s.name || was.role !== s.role) await this.remember({ ...was, ...s, name: s.name || was?.name || "" });
      });
    }
    const used = new Set(this.status.sites.map((s) => s.id));
    this.spares = (me.spares ?? []).filter((s) => !used.has(typeof s === "string" ? s : s.id));
    await this.store.setWord("spares", this.spares);
    await this.store.setWord("senders", me.senders ?? []);
    this.tell({ known: "paired", demo: !!me.demo, senders: me.senders ?? [] });
    const first = this.status.sites[0];
    if (!this.status.site && first) await this.open(first.id);
  }

  /** pair lets this phone in, and returns the next recovery code when it came in with the last one. */
  async pair(code: string, name: string): Promise<string> {
    const got = await server.pair(code, name).catch((e: unknown) => {
      void this.greet(); // the answer may have been lost on its way, and the phone be in
      throw e;
    });
    await this.entered(got);
    return got.recovery ?? "";
  }

  async joinDemo(name: string) { return this.entered(await server.demo(name)); }

  /** entered keeps the site this phone was let into; what is looked at stays when nobody asked for the other. */
  private async entered(p: server.Paired, asked = true): Promise<string> {
    this.letIn++;
    (this.seats ??= new Set()).add(p.site);
    this.tell({ known: "paired" });
    const name = p.sites?.find((s) => s.id === p.site)?.name ?? "";
    const was = this.site(p.site);
    await this.remember({ ...was, id: p.site, name: name || was?.name || "", role: p.role, num: p.num });
    this.spares = p.spares ?? this.spares;
    await this.store.setWord("spares", this.spares);
    if (asked) await this.open(p.site);
    return p.site;
  }

  private dial() {
    this.wire?.hangUp();
    const site = this.status.site;
    this.tell({ link: "trying" });
    const wire: Wire = (this.wire = new Wire(site, {
      opened: () => void this.wireSays({ do: "connected" }).then(() => {
        if (wire !== this.wire || !wire.up) return; // cut again while this waited its turn
        this.seats?.add(site);
        this.tell({ link: "on" });
        this.photos?.online();
      }).catch(() => undefined),
      frame: (frame) => void this.frame(site, frame).catch(() => undefined),
      closed: (reason) => {
        this.photos?.offline();
        void this.wireSays({ do: "cut" }).catch(() => undefined);
        if (reason === "revoked") this.seats?.delete(site);
        this.tell({ link: "trying", ...(reason === "revoked" && { known: "revoked" as const }), ...(reason === "full" && { held: true }) });
        if (reason === "refused") void this.greet();
      },
    }));
  }

  /** frame takes one message of the server, and passes on what it says to the person. */
  private async frame(site: string, frame: string) {
    const kind = /^\{"m":"(\w+)"/.exec(frame)?.[1];
    if (kind === "wait") this.tell({ held: true });
    if (kind === "ack" && this.status.held) this.tell({ held: false });
    const { view } = await this.wireSays({ do: "frame", frame });
    const said = view && fields(view).said;
    if (said && kind !== "wait" && site === this.status.site) this.post({ push: "said", text: JSON.parse(said) as string });
  }

  /** wireSays takes what the wire says in its turn, and has the screen drawn anew once for a burst of it. */
  private wireSays(req: Partial<Request>) {
    this.heard++;
    return this.queue.add(() => this.run(req)).finally(() => {
      if (--this.heard === 0) {
        this.post({ push: "changed" });
        this.photos?.go();
      }
    });
  }

  /** online is the phone's word that there is signal again. */
  online() {
    this.wire?.now();
    if (this.status.known === "unsure") void this.greet();
  }

  // ---- odds and ends of More

  /** backup is everything this phone has of the site, as one JSON text. */
  backup(): Promise<string> {
    return this.queue.add(async () => {
      const site = this.held?.site ?? this.status.site;
      const { raws, meta } = await this.store.load(site);
      const plain = await this.run({ do: "export" }).catch(() => undefined);
      return `{"batterboard":"backup","version":1,"line":${JSON.stringify(this.site(site))},\n` +
        `"site":${plain?.document ?? "null"},\n"meta":${meta ?? "null"},\n"ops":[\n${raws.join(",\n")}\n]}\n`;
    });
  }

  answer(ask: Ask): Promise<unknown> {
    const site = ask.seen || this.status.site; // what was asked on one site is not done on another that was opened since
    switch (ask.to) {
      case "open": return this.open(ask.site);
      case "lang": return this.speak(ask.lang);
      case "pair": return this.pair(ask.code, ask.name);
      case "demo": return this.joinDemo(ask.name);
      case "born": return this.born(ask.name);
      case "invite": return server.invite(site, ask.role);
      case "crewLink": return server.crewLink(site, ask.crew, ask.anew);
      case "crewUnlink": return server.crewUnlink(site, ask.crew);
      case "feedLink": return server.feedLink(site, ask.anew);
      case "feedUnlink": return server.feedUnlink(site);
      case "push": return server.push(site);
      case "pushOn": return server.pushOn(site, { endpoint: ask.endpoint, p256dh: ask.p256dh, auth: ask.auth, lang: ask.lang });
      case "pushOff": return server.pushOff(site);
      case "devices": return server.devices(site);
      case "revoke": return server.revoke(site, ask.device);
      case "name": return server.name(site, ask.name);
      case "forget": return this.forget(ask.site);
      case "backup": return this.backup();
      case "picture": return this.look(ask.file);
      case "online": this.online(); return Promise.resolve();
      default: return Promise.reject(new Trip({ code: "stumbled" }));
    }
  }
}
