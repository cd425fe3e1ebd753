// Talks to the worker: one message out, one answer back, and now and then news nobody asked for.
import { signal } from "@preact/signals";
import type { Answer, Intent, Job, Push, Status, Trouble } from "../worker/messages";
import type { View } from "./view";
import type { Shrunk } from "./shrink";
import type { Taken } from "./camera";
import type { Made } from "./papers";
import { trusted } from "./trusted";

declare const WORKER_URL: string;

export class TroubleError extends Error {
  constructor(readonly trouble: Trouble) { super(trouble.text ?? trouble.code); }
}

export const status = signal<Status>({ phase: "starting", site: "", sites: [], link: "off", known: "unsure", full: false, held: false, demo: false, spares: 0, pictures: 0, senders: [] });
export const zone = signal("");
/** seen is the site whose view is on the screen, which may be there before the worker has said a word. */
export const seen = signal("");
/** heard counts up when the site, or who is on it, changed without this screen's doing. */
export const heard = signal(0);
/** told is what the server said to this phone last, for a person. */
export const told = signal("");
/** pictures counts up when one has come that was not on this phone. */
export const pictures = signal(0);

type Waiting = { done: (a: Answer) => void; fail: (e: Error) => void };
const waiting = new Map<number, Waiting>();
let count = 0;
let worker: Worker;
let changed = () => {};

/** begin starts the worker; onChange is called when the site changed without this screen's doing. */
export function begin(lang: string, site: string, invited: boolean, onChange: () => void) {
  changed = onChange;
  worker = new Worker(trusted(WORKER_URL), { type: "module" });
  worker.onmessage = (e: MessageEvent<Answer | Push>) => hear(e.data);
  worker.onerror = (e) => {
    status.value = { ...status.value, phase: "broken", why: { code: "stumbled", text: e.message } };
  };
  addEventListener("online", () => void job({ to: "online" }));
  void job({ to: "start", lang, site, invited });
}

function hear(m: Answer | Push) {
  if ("push" in m) {
    if (m.push === "status") status.value = m.status;
    else if (m.push === "pictures") pictures.value++;
    else if (m.push === "said") told.value = m.text;
    else { heard.value++; changed(); }
    return;
  }
  const w = waiting.get(m.n);
  waiting.delete(m.n);
  if (m.error) w?.fail(new TroubleError(m.error));
  else w?.done(m);
}

function send(what: Job): Promise<Answer> {
  const at = new Date();
  const n = ++count;
  const answer = new Promise<Answer>((done, fail) => waiting.set(n, { done, fail }));
  worker.postMessage({ ...what, n, zone: zone.value, wall: at.getTime(), seen: seen.value || status.value.site });
  return answer;
}

export async function job<T = unknown>(what: Job): Promise<T> {
  return (await send(what)).value as T;
}

type Shown = { view?: View; text?: string };

/** photo hands a picture over; the view of the screen comes back once it is kept. */
export const photo = (on: string, made: Shrunk, taken: Taken | undefined, req: Intent) => shown({ to: "photo", on, said: "", ...made, taken, req });

/** paper does the same with a paper. */
export const paper = (on: string, name: string, made: Made, req: Intent) => shown({ to: "paper", on, name, ...made, req });

/** engine sends an intent; the view comes back as the text the engine wrote, to be kept as it is. */
export const engine = (req: Intent) => shown({ to: "engine", req });

async function shown(what: Job): Promise<Shown> {
  const { view: text } = await send(what);
  return text ? { view: JSON.parse(text) as View, text } : {};
}
