// Which fields each thing of a site has, in the order a person fills them in. Names are those of the
// site file; the words for them are in words/.
import type { Words } from "./words/en";

export type Input =
  | "text" | "area" | "lines" | "tel" | "day" | "moment" | "clock" | "count" | "percent" | "flag" | "money" | "days"
  | "range" | "lag" | "week" | "siteWeek" | "noiseWeek" | "extra" | "trade" | "lang" | "crew" | "crews" | "place" | "node" | "linkKind" | "units" | "cautions" | "weight" | "zone" | "floor" | "wait" | "quiet" | "second" | "lost" | "thick" | "carries";

export interface Spec { key: string; word: keyof Words["field"]; input: Input; must?: boolean; later?: boolean; fresh?: boolean }

const s = (key: string, input: Input, more: Partial<Spec> = {}): Spec => ({ key, word: key as Spec["word"], input, ...more });
const must = { must: true };
const later = { later: true };
/** asked when a thing is added: what it goes behind and in front of. Later that is a link of its own. */
const fresh = (word: Spec["word"]) => ({ fresh: true, word });

export const forms: Record<string, Spec[]> = {
  site: [
    s("name", "text", must), s("address", "area"), s("wayIn", "area"), s("contact", "text", { word: "yourName" }), s("phone", "tel", { word: "yourPhone" }), s("start", "day"), s("back", "day"),
    s("hours", "siteWeek"), s("noise", "noiseWeek"), s("units", "units"), s("lang", "lang", later), s("answerBy", "clock", later), s("weather", "lost", later), s("zone", "zone", later), s("country", "text", later), s("geo", "text", later),
  ],
  crew: [
    s("name", "text", must), s("trade", "trade"), s("contact", "text"), s("phone", "tel"), s("lang", "lang"), s("size", "count"), s("own", "flag"),
    s("hours", "week", { word: "ownHours", later: true }), s("saturday", "extra", later), s("overtime", "extra", later), s("twice", "second", later), s("stands", "crews", later),
    s("teams", "count", later), s("email", "text", later), s("noShow", "percent", later), s("quiet", "quiet"),
  ],
  place: [s("name", "text", must), s("room", "count"), s("floor", "floor", { word: "floorKind" }), s("carries", "carries", later)],
  activity: [
    s("name", "text", must), s("crew", "crew"), s("labour", "range", must), s("after", "node", fresh("comesAfter")), s("before", "node", fresh("comesBefore")), s("place", "place"), s("scope", "area"), s("also", "text", later), s("scopeAlso", "area", later), s("ready", "area"), s("bring", "area"),
    s("cover", "flag"), s("notBefore", "moment"), s("mustBy", "day"), s("hands", "count", later), s("with", "crews", later), s("whole", "flag", later),
    s("outdoor", "flag", later), s("twice", "flag", { word: "twiceAgreed", later: true }), s("noisy", "flag", later), s("gate", "flag", later), s("closes", "flag", later), s("cautions", "cautions", later),
  ],
  link: [
    s("from", "node", { ...must, word: "before" }), s("to", "node", { ...must, word: "after" }), s("kind", "linkKind"), s("lag", "lag"), s("clock", "flag"), s("why", "text"),
    s("wait", "wait"), s("thick", "thick", later),
  ],
  hold: [
    s("name", "text", must), s("after", "node", fresh("looksAt")), s("before", "node", fresh("keepsShut")), s("agency", "text"), s("phone", "tel"), s("ready", "lines", { word: "readyLines" }), s("notice", "days"), s("cutoff", "clock"),
    s("hours", "week", { word: "visits", later: true }), s("photos", "count"), s("code", "text", later), s("parts", "lines", later), s("fee", "money", later), s("feeAgain", "money", later), s("failPct", "percent", later),
  ],
  order: [
    s("goods", "text", must), s("before", "node", fresh("needsIt")), s("quantity", "text"), s("supplier", "text"), s("phone", "tel"), s("lead", "days"), s("ordered", "day"), s("due", "day"),
    s("arrived", "day"), s("short", "text"), s("stands", "place", { word: "standsAt" }), s("weightKg", "weight", { word: "weight", later: true }), s("cost", "money", { word: "price", later: true }),
    s("gate", "node", { word: "gateOrder", later: true }), s("reserved", "day", later), s("wide", "flag", { word: "wideGoods", later: true }),
  ],
  away: [s("crew", "crew", must), s("from", "day", must), s("to", "day", must), s("why", "text")],
  shut: [s("from", "day", must), s("to", "day", must), s("outdoor", "flag", { word: "onlyOutdoor" }), s("why", "text")],
  opening: [s("crew", "crew", must), s("day", "day", must), s("from", "clock", must), s("to", "clock", must), s("cost", "money")],
  note: [s("day", "day", must), s("said", "area", must)],
};

/** addable are the things a person adds by hand; the others come about by acts. */
export const addable = ["crew", "place", "activity", "link", "hold", "order", "away", "shut"];

export const TRADES = [
  "owner", "carpentry", "plumbing", "electric", "mechanical", "insulation", "sound", "board", "taping", "paint", "floor", "stucco", "concrete",
  "doors", "demolition", "hauling", "data",
];
export const CAUTIONS = [
  "asbestos", "lead", "bearing", "bracing", "gas", "flue", "air", "lockoff", "overhead", "edges", "foam", "separation", "escape", "lotline", "cover",
  "trench", "digging", "dust", "silica", "ladder", "lifting", "stack", "glass", "heat", "solvents", "noise", "dry", "freshair", "ceiling", "vibration", "quiet", "boom", "living", "asbestos-notice", "deposit", "releases", "employer",
];
