// Messages to this phone while the app is closed: what the browser can do, and signing up. The
// permission is asked for with the button that says so, never before.
import { signal } from "@preact/signals";
import { job, status } from "./bridge";
import { read, write } from "./state";
import { lang } from "./words";

/** What can be done here: nothing, only after installing, or it is on, off, forbidden. */
export type PushState = "none" | "plain" | "iphone" | "blocked" | "off" | "on";

interface Told { key: string; on: boolean; endpoint: string }

const apple = () => /iP(hone|ad|od)/.test(navigator.userAgent) || (navigator.platform === "MacIntel" && navigator.maxTouchPoints > 1);
const installed = () => matchMedia("(display-mode: standalone)").matches || (navigator as { standalone?: boolean }).standalone === true;

/** able says what this browser can do at all, without asking anybody. */
export function able(): PushState {
  if (apple() && !installed()) return "iphone";
  if (!isSecureContext) return "plain";
  if (!("serviceWorker" in navigator) || !("PushManager" in window) || !("Notification" in window)) return "none";
  return Notification.permission === "denied" ? "blocked" : "off";
}

const kept = () => `bb.push.${status.value.site}`;

/** wanted: this phone signed up for the open site. */
export const wanted = () => read(kept()) === "on";

/** known is how it stands with messages for a site, as last heard of. */
export const known = signal<{ site: string; state: PushState } | undefined>(undefined);
let turn: Promise<unknown> = Promise.resolve();

/** learn asks or settles how it stands, one after the other: answers must not overtake each other. */
export function learn(how: () => Promise<PushState>): Promise<PushState> {
  const next = turn.then(async () => {
    const { site } = status.value;
    const state = await how();
    known.value = { site, state };
    return state;
  });
  turn = next.catch(() => undefined);
  return next;
}

async function own(): Promise<PushSubscription | null> {
  return (await navigator.serviceWorker.ready).pushManager.getSubscription();
}

/** pushState asks the server too, where there is signal. */
export async function pushState(): Promise<PushState> {
  const can = able();
  if (can !== "off") return can;
  const [told, here] = await Promise.all([job<Told>({ to: "push" }), own()]);
  return told.on && here && here.endpoint === told.endpoint ? "on" : "off";
}

const bytes = (b64: string) => Uint8Array.from(atob(b64.replaceAll("-", "+").replaceAll("_", "/")), (c) => c.charCodeAt(0));

/** turnOn asks for the permission, signs up at the browser's push service, and tells the server. */
export async function turnOn(): Promise<PushState> {
  if ((await Notification.requestPermission()) !== "granted") return able();
  const told = await job<Told>({ to: "push" });
  const { pushManager } = await navigator.serviceWorker.ready;
  let here = await pushManager.getSubscription();
  if (here && !sameKey(here.options.applicationServerKey, told.key)) { // from another server of this address
    await here.unsubscribe();
    here = null;
  }
  here ??= await pushManager.subscribe({ userVisibleOnly: true, applicationServerKey: bytes(told.key) });
  const { endpoint, keys } = here.toJSON() as { endpoint: string; keys: { p256dh: string; auth: string } };
  await job({ to: "pushOn", endpoint, p256dh: keys.p256dh, auth: keys.auth, lang: lang.value });
  write(kept(), "on");
  return "on";
}

function sameKey(have: ArrayBuffer | null, want: string): boolean {
  const b = bytes(want);
  return !!have && have.byteLength === b.length && new Uint8Array(have).every((x, i) => x === b[i]);
}

export async function turnOff(): Promise<PushState> {
  await job({ to: "pushOff" });
  write(kept(), "");
  return able();
}

/** renew signs up again where the browser changed its address, or the language changed. */
export async function renew() {
  if (wanted() && able() === "off" && Notification.permission === "granted" && (await learn(pushState)) === "off") await learn(turnOn);
}
