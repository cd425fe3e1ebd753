// The worker's door. Each tab has a worker; one of them leads and has the phone in it: engine, store,
// wire. navigator.locks says which, and passes the turn on when that tab is closed.
import type { Answer, Ask, Job, Push } from "./messages";
import { Phone, Trip } from "./phone";
import { Said } from "./server";
import { type Done, NotMyTurn, Tabs, type TabWord } from "./tabs";
import { Turns } from "./turns";

const LOCK = "batterboard";
/** These may be asked of the next leader when the one that was doing them is gone; others might be done twice. */
const TWICE_IS_ONCE: Job["to"][] = ["start", "engine", "photo", "paper", "picture", "open", "lang", "devices", "name", "forget", "backup", "online"];

const post = (message: Answer | Push) => self.postMessage(message);
const me = Array.from(crypto.getRandomValues(new Uint8Array(12)), (x) => x.toString(16).padStart(2, "0")).join("");
const line = new BroadcastChannel("batterboard-tabs");

let phone: Phone | undefined;
let ready: Promise<void> = Promise.resolve();
let wish: Extract<Ask, { to: "start" }> | undefined;
let giveUp: () => void = () => {};
let waiting: AbortController | undefined;
let lastSite = "";
let silent = false;

const tabs = new Tabs(me, {
  say: (word) => line.postMessage(word),
  show: (message) => {
    if ("push" in message && message.push === "status" && message.status.site) lastSite = message.status.site;
    post(message);
  },
  serve,
  lost: stepBack,
  silence: (now) => {
    if (now !== silent && now) post({ push: "status", status: { ...new Phone(() => {}, () => {}, () => {}).status, phase: "elsewhere" } });
    if (now !== silent && !now) tabs.join(); // it speaks again: how are things?
    silent = now;
  },
  later: (ms, run) => { const timer = setTimeout(run, ms); return () => clearTimeout(timer); },
});

/** turns stands in for the locks, which a plain http:// page does not get. */
const turns = "locks" in navigator ? undefined : new Turns(() => tabs.leading, lead, () => tabs.join());

line.onmessage = (e: MessageEvent<TabWord>) => {
  if (!("ask" in e.data || "new" in e.data)) turns?.heard(); // only leaders say the rest
  tabs.hear(e.data);
};
self.addEventListener("online", () => phone?.online());
self.onmessage = (e: MessageEvent<Ask>) => {
  const ask = e.data;
  if (ask.to === "useHere") { takeOver(); return post({ n: ask.n }); }
  if (ask.to === "start") wish = ask;
  tabs.ask(ask);
  if (ask.to === "start") { tabs.join(); queueUp(); }
};

/** queueUp gets in line for the moment the leading tab is closed. */
function queueUp() {
  if (turns) return turns.wait(false);
  const wait = (waiting = new AbortController());
  navigator.locks.request(LOCK, { signal: wait.signal }, lead).catch(() => { if (!wait.signal.aborted) stepBack(); });
}

/** takeOver takes the turn from a tab that does not answer. */
function takeOver() {
  if (turns) return turns.wait(true);
  waiting?.abort();
  navigator.locks.request(LOCK, { steal: true }, lead).catch(stepBack);
}

/** stepBack: somebody took the turn here and now. */
function stepBack() {
  tabs.resign();
  phone?.leave();
  phone = undefined;
  giveUp();
}

/** lead opens the phone in this tab; the promise ends when the turn is over. */
async function lead() {
  const over = new Promise<void>((done) => { giveUp = done; });
  // What a phone that was left says late is nobody's business any more.
  const still = (run: () => void) => { if (phone === mine) run(); };
  const mine: Phone = (phone = new Phone((push) => still(() => tabs.push(push)), (turn) => still(() => tabs.lead(turn)), () => still(() => tabs.resign())));
  if (wish) mine.wind(wish);
  ready = mine.start(wish?.lang ?? "en", lastSite || (wish?.site ?? ""), !!wish?.invited).catch((e: unknown) => {
    if (phone !== mine) return;
    if (e instanceof NotMyTurn) return tabs.resign();
    mine.status.phase = "broken";
    mine.status.why = e instanceof Trip ? e.trouble : { code: "stumbled", text: String(e) };
    if (!tabs.leading) tabs.lead(0);
    tabs.push({ push: "status", status: mine.status });
  });
  void ready.then(() => { if (phone === mine) tabs.push({ push: "changed" }); });
  await over;
  if (!turns) queueUp();
}

async function serve(ask: Ask, name: string, done: Done): Promise<Answer> {
  const { n } = ask;
  try {
    await ready;
    if (!phone) throw new NotMyTurn();
    if (done === "inHand" && !TWICE_IS_ONCE.includes(ask.to)) throw new Trip({ code: "cutShort" });
    phone.wind(ask);
    return await answer(phone, ask, name, done !== "no");
  } catch (e) {
    if (e instanceof NotMyTurn) throw e;
    return { n, error: e instanceof Trip || e instanceof Said ? e.trouble : { code: "stumbled", text: String(e) } };
  }
}

async function answer(phone: Phone, ask: Ask, name: string, again: boolean): Promise<Answer> {
  const { n } = ask;
  switch (ask.to) {
    case "start": return { n };
    case "engine":
    case "photo":
    case "paper": {
      const { view, wrote } = await (ask.to === "engine" ? phone.intent(ask.req, ask.seen, name, again) : phone.picture(ask, name, again));
      if (wrote) tabs.push({ push: "changed" }, name.slice(0, name.lastIndexOf(".")));
      return { n, view };
    }
    default: return { n, value: await phone.answer(ask) };
  }
}
