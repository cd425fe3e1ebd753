// Words from the server while the app is closed. What comes was sealed for this browser, and is still
// read as a stranger's: text is shown as text, and a tap leads into the app and nowhere else.
const sw = self as unknown as ServiceWorkerGlobalScope;

interface Word { v: number; site: string; tag: string; title: string; text: string }

export function read(data: { json(): unknown } | null): Word {
  try {
    const w = data?.json() as Partial<Word> | null;
    const ok = w && w.v === 1 && [w.site, w.tag, w.title, w.text].every((s) => typeof s === "string");
    if (ok) return w as Word;
  } catch { /* not ours, or of a later version */ }
  return { v: 1, site: "", tag: "word", title: "Batterboard", text: "" };
}

export function listen(icon: string) {
  // Browsers insist that something is shown for every message.
  sw.addEventListener("push", (e) => {
    const w = read(e.data);
    e.waitUntil(Promise.all([
      sw.registration.showNotification(w.title || "Batterboard", { body: w.text, tag: `${w.site}/${w.tag}`, icon, badge: icon, data: { site: w.site } }),
      (navigator as { setAppBadge?: () => Promise<void> }).setAppBadge?.().catch(() => undefined),
    ]));
  });
  sw.addEventListener("notificationclick", (e) => {
    e.notification.close();
    e.waitUntil(open(String((e.notification.data as { site?: unknown } | null)?.site ?? "")));
  });
}

/** open brings the app to the front, on Today of the site the word was about. */
async function open(site: string) {
  const [first] = await sw.clients.matchAll({ type: "window" });
  if (!first) return void (await sw.clients.openWindow(`/#/at/${encodeURIComponent(site)}`));
  await first.focus().catch(() => undefined);
  first.postMessage({ open: site });
}
