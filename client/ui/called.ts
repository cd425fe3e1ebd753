// A tap on a message: the app comes to the front, on Today of the site the message was about.
import { effect } from "@preact/signals";
import { job, status } from "./bridge";
import { here, route, swap } from "./route";
import { read } from "./state";

async function open(site: string) {
  const still = here();
  const there = status.value.sites.some((s) => s.id === site);
  if (there && site !== status.value.site) await job({ to: "open", site }).catch(() => undefined);
  if (still()) swap("today"); // unless somebody has gone on while the site was opened
}

const clearBadge = () => {
  if (!document.hidden) void (navigator as { clearAppBadge?: () => Promise<void> }).clearAppBadge?.().catch(() => undefined);
};

export function hearCalls() {
  navigator.serviceWorker?.addEventListener("message", (e: MessageEvent<{ open?: unknown }>) => {
    if (typeof e.data?.open === "string") void open(e.data.open);
  });
  effect(() => { // opened by a message: #/at/SITE
    const { screen, rest } = route.value;
    if (screen === "at" && status.value.phase === "open") void open(rest[0] ?? "");
  });
  document.addEventListener("visibilitychange", clearBadge);
  clearBadge();
  let renewed = "";
  effect(() => {
    const { site, link } = status.value;
    if (link !== "on" || site === renewed || read(`bb.push.${site}`) !== "on") return;
    renewed = site;
    void import("./push").then((m) => m.renew()).catch(() => undefined);
  });
}
