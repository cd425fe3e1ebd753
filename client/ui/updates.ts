// The service worker brings a new version and waits; nothing reloads under anybody's thumb.
import { signal } from "@preact/signals";
import { trusted } from "./trusted";

export const newVersion = signal<ServiceWorker | undefined>(undefined);
let asked = false;
/** A new version that does not take over for so long never will; the one at hand asks again. */
const LONGEST = 15_000;

export function watchForUpdates() {
  if (!("serviceWorker" in navigator)) return;
  const workers = navigator.serviceWorker;
  const had = workers.controller;
  workers.addEventListener("controllerchange", () => {
    if (asked) location.reload();
    else if (had) newVersion.value = workers.controller ?? undefined; // another tab took it: this one goes on with what it has
  });
  workers.controller?.postMessage("begun");
  void workers.ready.then(() => { document.documentElement.dataset.sw = "ready"; });
  workers.register(trusted("/sw.js"), { scope: "/" }).then(watch, () => undefined);
}

function watch(reg?: ServiceWorkerRegistration) {
  if (!reg) return; // switched off in this browser
  offer(reg.waiting);
  reg.addEventListener("updatefound", () => {
    const coming = reg.installing;
    coming?.addEventListener("statechange", () => { if (coming.state === "installed") offer(coming); });
  });
  document.addEventListener("visibilitychange", () => { if (!document.hidden) void reg.update().catch(() => undefined); });
}

/** offer asks, unless this is the very first version on this phone. */
function offer(worker: ServiceWorker | null) {
  if (worker && navigator.serviceWorker.controller) newVersion.value = worker;
}

export function useNewVersion() {
  const worker = newVersion.value;
  if (asked || !worker) return;
  asked = true;
  if (worker.state !== "installed") return location.reload(); // it is in use already, or a newer one came
  worker.postMessage("useIt");
  setTimeout(() => location.reload(), LONGEST);
}
