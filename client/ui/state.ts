// What the screen knows: the last view of each screen, the line about what was just done, and the
// few choices that belong to this phone alone.
import { computed, effect, signal } from "@preact/signals";
import type { Intent } from "../worker/messages";
import type { Head, View } from "./view";
import type { Shrunk } from "./shrink";
import type { Taken } from "./camera";
import { engine, photo, seen, status, TroubleError, zone } from "./bridge";
import { pages } from "./links";
import { drafts } from "./drafts";
import { here, route } from "./route";
import { t } from "./words";

export const views = signal<Record<string, View | undefined>>({});
export const head = signal<Head | undefined>(undefined);
/** recalled: what is shown was kept from last time, the planner has not spoken yet. */
export const recalled = signal(false);
export const said = signal<{ text: string; undo?: boolean } | undefined>(undefined);
export const refused = signal("");
export const busy = signal(0);
/** slow: a person has waited long enough to be told that something is going on. */
export const slow = signal(false);
/** rulesDraft is the habit of departments that is being looked at, before it is taken. */
export const rulesDraft = signal<Record<string, unknown>>({});
/** wished is the day a block's start is wished for; what stands in the way is asked again with every look. */
export const wished = signal<{ id: string; day: string } | undefined>(undefined);
/** penned is the wording of a text as it is being written; its preview is asked for with every look. */
export const penned = signal<{ id: string; text: string } | undefined>(undefined);
let sayAgain = false;

export const online = computed(() => status.value.link === "on");
/** coming: the server has more of the site than this phone. A site that was begun here is all here. */
export const coming = computed(() => {
  const h = head.value;
  return !!h?.coming && !status.value.sites.find((s) => s.id === h.siteId)?.born;
});
/** arriving: nothing of it has come yet. An empty screen would be a lie. */
export const arriving = computed(() => coming.value && !!head.value?.empty);
export const locked = computed(() => !!head.value?.readOnly || head.value?.role === "viewer");

// ---- what is kept for the first paint

const KEPT = ["today", "strings", "holds", "texts"];
const keyOf = (site: string, screen: string) => `bb.view.${site}.${screen}`;
export const lastSite = () => read("bb.site");

export function read(key: string): string {
  try { return localStorage.getItem(key) ?? ""; } catch { return ""; }
}
export function write(key: string, value: string) {
  try { localStorage.setItem(key, value); } catch { /* full or forbidden: it is only for the first paint */ }
}

/** recall shows the screen as it was last seen, before the worker has said a word. */
export function recall(screen: string) {
  const text = read(keyOf(lastSite(), screen));
  if (!text || views.value[screen]) return;
  try {
    const view = JSON.parse(text) as View;
    views.value = { ...views.value, [screen]: view };
    head.value ??= view.head;
    recalled.value = true;
  } catch { /* written by another version */ }
}

/** forgetSite drops what this phone kept for the screen of a site that was taken off it: also who may be written to. */
export function forgetSite(site: string) {
  const of = [`bb.view.${site}.`, `bb.typed.${site}.`, `bb.crew.${site}.`, `bb.feed.${site}`, `bb.push.${site}`];
  for (const key of [...unwritten.keys()]) if (of.some((stem) => key.startsWith(stem))) unwritten.delete(key);
  try {
    for (const key of Object.keys(localStorage)) if (of.some((stem) => key.startsWith(stem))) localStorage.removeItem(key);
  } catch { /* forbidden: then there is nothing */ }
}

export function forgetViews() {
  views.value = {};
  head.value = undefined;
}

const unwritten = new Map<string, string>();
let writing = 0;

/** keepForNextTime writes a little later, when nobody waits for the screen. */
function keepForNextTime(site: string, screen: string, text: string) {
  if (!KEPT.includes(screen)) return;
  unwritten.set(keyOf(site, screen), text);
  clearTimeout(writing);
  writing = window.setTimeout(keepNow, 300);
}

function keepNow() {
  for (const [key, value] of unwritten) write(key, value);
  unwritten.clear();
}
addEventListener("pagehide", keepNow);

// ---- asking the engine

/** drawn is what was put on the screen last, as the engine wrote it. */
let drawn = "";

/** place puts a view where its screen looks for it. */
function place(view: View, text: string) {
  if (view.head.siteId !== status.value.site) return; // of the site before: the screen has gone on
  recalled.value = false;
  if (text === drawn && views.value[view.screen]) return; // as it was a minute ago: nothing to draw
  drawn = text;
  head.value = view.head;
  zone.value = view.head.zone ?? "";
  if (view.screen) views.value = { ...views.value, [view.screen]: view };
  keepForNextTime(view.head.siteId, view.screen, text);
}

/** ask sends an intent; refuse hears the sentence of an answer that is a no. */
export async function ask(req: Intent, refuse = refuseLoud): Promise<View | undefined> {
  busy.value++;
  try {
    const { view, text } = await engine(req);
    if (view && text) place(view, text);
    if (view?.refused) refuse(view.refused);
    return view;
  } catch (e) {
    refuse(troubleText(e));
    return undefined;
  } finally {
    busy.value--;
  }
}

function refuseLoud(text: string) {
  refused.value = text;
  said.value = undefined;
}

export function troubleText(e: unknown): string {
  if (!(e instanceof TroubleError)) return t().trouble.stumbled;
  if (e.trouble.code === "said") return t().told[e.trouble.told ?? ""] ?? e.trouble.text ?? t().trouble.stumbled;
  return t().trouble[e.trouble.code];
}

/** what a route asks of the engine; screens that need nothing of it are not in the list. */
export function wanted(): Pick<Intent, "for" | "kind" | "pages" | "draft"> & { screen: string } | undefined {
  const { screen, rest } = route.value;
  switch (screen) {
    case "contacts": return { screen: "people" };
    case "today": case "cant": case "changed": case "strings": case "setup": case "log": case "odds": return { screen };
    case "holds": case "block": case "photos": return { screen, for: rest[0] };
    case "texts": return { screen, pages: pages() };
    case "words": return { screen, for: rest[0] ?? "", ...(penned.value && penned.value.id === rest[0] && { draft: penned.value.text }) };
    case "questions": return { screen, ...(Object.keys(drafts.value).length > 0 && { fields: drafts.value }) };
    case "pace": return { screen, for: rest[0] };
    case "readings": case "review": return { screen };
    case "orders": return { screen, for: rest[0] ?? "" };
    case "rules": return { screen, ...(Object.keys(rulesDraft.value).length > 0 && { fields: rulesDraft.value }) };
    case "week": return { screen, ...(rest[0] && { day: rest[0] }) };
    case "thing": return { screen, kind: rest[0], for: rest[1] ?? "" };
    default: return undefined;
  }
}

/** show draws the screen anew; news says that something came from outside. */
export async function show(news = false) {
  const w = wanted();
  if (status.value.phase !== "open") return;
  if (route.value.screen === "ways" && !news && head.value && !recalled.value) return; // it asks for itself, but what is sent stands in the head
  // A look that was on its way when the thing was removed and left behind is nobody's question any more, and
  // what has not come to this phone yet is not gone: it is looked at again when it has.
  const still = here();
  const wish = wished.value;
  const what: Intent = w && wish && w.screen === "block" && w.for === wish.id ? { do: "wish", id: wish.id, from: wish.day, ...w } : { do: "show", ...(w ?? { screen: "today" }) };
  const view = await ask(what, (text) => { if (still() && !head.value?.coming && status.value.phase === "open") refuseLoud(text); });
  if (view?.said) said.value = { text: view.said }; // news from the server
}

let underWay: { what: string } | undefined;

/** act does something and shows the screen as it then is, with the way back. A second tap on what is under way does nothing. */
export async function act(req: Intent): Promise<boolean> {
  const what = JSON.stringify(req);
  if (underWay?.what === what) return false;
  const mine = (underWay = { what }); // the last only: yes, no, yes again is three
  wished.value = undefined;
  const view = await ask({ ...(wanted() ?? { screen: "today" }), ...req }).finally(() => { if (underWay === mine) underWay = undefined; });
  if (!view || view.refused) return false;
  said.value = view.said ? { text: view.said, undo: !!view.head.undo && req.do !== "undo" } : undefined;
  return true;
}

/** carry keeps the line for the screen one goes to next. */
export const carry = () => { sayAgain = !!said.value; };

/** takePhoto keeps a picture on the phone and shows the screen with it. */
export const takePhoto = (on: string, made: Shrunk, taken?: Taken) => handOver((req) => photo(on, made, taken, { ...req, do: "photo" }));

/** handOver keeps a file on the phone and shows the screen with it. */
export async function handOver(over: (req: Intent) => ReturnType<typeof engine>): Promise<boolean> {
  busy.value++;
  try {
    const { view, text } = await over({ do: "show", ...(wanted() ?? { screen: "today" }) });
    if (view && text) place(view, text);
    if (view?.refused) refuseLoud(view.refused);
    else said.value = view?.said ? { text: view.said, undo: !!view.head.undo } : undefined;
    return !!view && !view.refused;
  } catch (e) {
    refuseLoud(troubleText(e));
    return false;
  } finally {
    busy.value--;
  }
}

export const undo = () => act({ do: "undo" });

effect(() => {
  void route.value; // what was said or wished belongs to the screen it was said on
  wished.value = undefined;
  if (sayAgain) sayAgain = false;
  else said.value = undefined;
});

effect(() => { seen.value = head.value?.siteId ?? ""; });

effect(() => {
  // A line about what was done goes by itself; a refusal stays until it was read.
  if (!said.value) return;
  const timer = setTimeout(() => { said.value = undefined; }, 8000);
  return () => clearTimeout(timer);
});

effect(() => {
  const timer = busy.value ? setTimeout(() => { slow.value = true; }, 500) : undefined;
  if (!busy.value) slow.value = false;
  return () => clearTimeout(timer);
});
