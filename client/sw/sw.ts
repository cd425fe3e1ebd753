// Keeps the app on the phone: the shell and the planner come from here, never from the network, so
// opening without signal is the same as opening with it. A new version is fetched whole, waits, and
// takes over only when a person says so.
import { listen } from "./push";

declare const KEEP: string[];
declare const BUILD: string;

// The compiler knows workers in general; this one is a service worker.
const sw = self as unknown as ServiceWorkerGlobalScope;
const SHELF = `batterboard-${BUILD}`;
const NEVER = ["/api/", "/ws", "/health"];

sw.addEventListener("install", (e) => e.waitUntil(fill()));
sw.addEventListener("activate", (e) => e.waitUntil(clear().then(() => sw.clients.claim())));
listen(KEEP.find((url) => url.startsWith("/icon-192")) ?? "");
sw.addEventListener("message", (e) => {
  if (e.data === "useIt") void sw.skipWaiting();
});

sw.addEventListener("fetch", (e) => {
  const url = new URL(e.request.url);
  if (e.request.method !== "GET" || url.origin !== location.origin) return;
  if (NEVER.some((path) => url.pathname === path || url.pathname.startsWith(path))) return;
  const wanted = e.request.mode === "navigate" && url.pathname === "/" ? "/" : url.pathname;
  if (KEEP.includes(wanted)) e.respondWith(kept(wanted, e.request));
});

/** fill fetches every file afresh; hashed names may come from the browser's own cache. */
async function fill() {
  const shelf = await caches.open(SHELF);
  await shelf.addAll(KEEP.map((url) => new Request(url, { cache: url === "/" ? "reload" : "default" })));
}

async function clear() {
  for (const name of await caches.keys()) if (name.startsWith("batterboard-") && name !== SHELF) await caches.delete(name);
}

async function kept(url: string, request: Request): Promise<Response> {
  const shelf = await caches.open(SHELF);
  return (await shelf.match(url, { ignoreVary: true })) ?? fetch(request);
}
