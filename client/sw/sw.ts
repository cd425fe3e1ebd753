// Keeps the app on the phone: the shell and the planner come from here, never from the network, so
// opening without signal is the same as opening with it. A new version is fetched whole, waits, and
// takes over only when a person says so.
import { unpack } from "../worker/unpack";
import { listen } from "./push";

declare const KEEP: string[];
declare const BUILD: string;

// The compiler knows workers in general; this one is a service worker.
const sw = self as unknown as ServiceWorkerGlobalScope;
const SHELF = `batterboard-${BUILD}`;
/** Names that carry a hash never change what they name: those of an older version are for tabs that still run it. */
const HASHED = /\.[0-9A-Za-z]{8,}\.[a-z]+$/;
const NEVER = ["/api/", "/ws", "/health"];

sw.addEventListener("install", (e) => e.waitUntil(fill()));
sw.addEventListener("activate", (e) => e.waitUntil(sw.clients.claim()));
listen(KEEP.find((url) => url.startsWith("/icon-192")) ?? "");
sw.addEventListener("message", (e) => {
  if (e.data === "useIt") void sw.skipWaiting();
  if (e.data === "begun") e.waitUntil(clear());
});

sw.addEventListener("fetch", (e) => {
  const url = new URL(e.request.url);
  if (e.request.method !== "GET" || url.origin !== location.origin) return;
  if (NEVER.some((path) => url.pathname === path || url.pathname.startsWith(path))) return;
  const wanted = e.request.mode === "navigate" && url.pathname === "/" ? "/" : url.pathname;
  if (KEEP.includes(wanted)) e.respondWith(kept(wanted, e));
  else if (HASHED.test(wanted)) e.respondWith(caches.match(wanted, { ignoreVary: true }).then((old) => old ?? fetch(e.request)));
});

/**
 * fill fetches every file afresh; hashed names may come from the browser's own cache. The planner comes first: on
 * a first visit the page is waiting for the same bytes, and nothing else shall take of a thin line. It comes
 * packed and is kept as it is run, so that opening the app does not unpack it again.
 */
async function fill() {
  const shelf = await caches.open(SHELF), packed = KEEP.filter((url) => url.endsWith(".pack"));
  const planner: [string, Uint8Array][] = [];
  for (const url of packed) {
    const answer = await fetch(url);
    if (!answer.ok) throw new Error(`${url}: ${answer.status}`);
    planner.push([url, new Uint8Array(await answer.arrayBuffer())]);
  }
  await shelf.addAll(KEEP.filter((url) => !packed.includes(url)).map((url) => new Request(url, { cache: url === "/" ? "reload" : "default" })));
  for (const [url, bytes] of planner) await shelf.put(url, new Response(unpack(bytes), { headers: { "Content-Type": "application/wasm" } }));
}

/** clear drops older versions when a page that has just begun is the only one: nobody runs them any more. */
async function clear() {
  if ((await sw.clients.matchAll({ type: "window", includeUncontrolled: true })).length > 1) return;
  const shelves = await caches.keys();
  if (sw.registration.waiting || sw.registration.installing) return; // it fills a shelf of its own, which may be one of these
  for (const name of shelves) if (name.startsWith("batterboard-") && name !== SHELF) await caches.delete(name);
}

let refilling: Promise<void> | undefined;

async function kept(url: string, e: FetchEvent): Promise<Response> {
  const found = await (await caches.open(SHELF)).match(url, { ignoreVary: true });
  if (found) return found;
  // The browser threw the shelf away. It is filled again as a whole, or not at all: a server with a newer version has not all of it.
  refilling ??= fill().catch(() => { refilling = undefined; });
  e.waitUntil(refilling);
  return fetch(e.request);
}
