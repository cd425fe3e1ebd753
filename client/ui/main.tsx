// The screen. It paints what it saw last before the planner is there, then only what the engine says.
import { effect } from "@preact/signals";
import { render } from "preact";
import { App } from "./app";
import { begin, job, status, told } from "./bridge";
import { hearCalls } from "./called";
import { route } from "./route";
import { forgetSite, forgetViews, lastSite, read, recall, said, show, write } from "./state";
import { chooseTheme } from "./theme";
import { watchForUpdates } from "./updates";
import { chooseLang, lang } from "./words";

chooseTheme(read("bb.theme"));
await chooseLang(read("bb.lang") || navigator.language); // words before the first picture
recall(route.value.screen);

const app = document.getElementById("app")!;
app.replaceChildren();
render(<App />, app);

let showing = Promise.resolve();
/** Shows one after the other, and the last wish wins: ten changes from outside are one new picture. */
let wishes = 0;
let news = false; // since the last picture
function showSoon(fromOutside = false) {
  const mine = ++wishes;
  news ||= fromOutside;
  showing = showing.then(() => {
    if (mine !== wishes) return;
    const told = news;
    news = false;
    return show(told);
  });
}

let site = lastSite();
effect(() => {
  const s = status.value;
  if (s.site && s.site !== site) {
    if (site) forgetViews();
    site = s.site;
    write("bb.site", site);
  } else if (site && s.phase === "none") { // the last one was taken off this phone
    forgetViews();
    site = "";
    write("bb.site", "");
  }
});

let here: string[] = [];
effect(() => {
  const now = status.value.sites.map((s) => s.id);
  if (status.value.phase !== "open" && status.value.phase !== "none") return;
  for (const gone of here.filter((id) => !now.includes(id))) forgetSite(gone);
  here = now;
});

effect(() => { if (told.value) said.value = { text: told.value }; told.value = ""; });

let asked = false;
effect(() => {
  // A browser short of room throws away what nobody asked it to keep; a site on this phone is asked for.
  if (asked || status.value.phase !== "open") return;
  asked = true;
  void navigator.storage?.persist?.().catch(() => false);
});

let shown = "";
effect(() => {
  const at = `${status.value.phase} ${status.value.site} ${route.value.screen}/${route.value.rest.join("/")} ${lang.value}`;
  if (status.value.phase === "open" && at !== shown) { shown = at; showSoon(); }
});

begin(lang.value, lastSite(), route.value.screen === "pair", () => showSoon(true));
hearCalls();
// The day goes on: what is late, what is on today.
setInterval(() => { if (!document.hidden) showSoon(); }, 60_000);
document.addEventListener("visibilitychange", () => {
  if (document.hidden) return;
  showSoon();
  void job({ to: "online" }).catch(() => undefined); // it may have slept long between two tries
});
// Another tab of this phone chose another language.
addEventListener("storage", (e) => { if (e.key === "bb.lang" && e.newValue) chooseLang(e.newValue); });
// Where the words had to be fetched first, the page has loaded already and says so no more.
const loaded = () => setTimeout(watchForUpdates, 0);
if (document.readyState === "complete") loaded(); else addEventListener("load", loaded);
