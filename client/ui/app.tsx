import { status } from "./bridge";
import { arriving, head, views, wanted } from "./state";
import { route } from "./route";
import { useEffect } from "preact/hooks";
import { fetchSoon, later } from "./later";
import { Bar, Broken, Elsewhere, Page, Refused, Spoken, Strip, Update } from "./parts/frame";
import { Hatches } from "./parts/hatch";
import { About } from "./screens/about";
import { Cant } from "./screens/cant";
import { Holds } from "./screens/holds";
import { Join } from "./screens/join";
import { Look } from "./screens/look";
import { More } from "./screens/more";
import { Strings } from "./screens/strings";
import { Texts } from "./screens/texts";
import { Today } from "./screens/today";
import { Ways } from "./screens/ways";
import { Arriving, Welcome } from "./screens/welcome";

export function App() {
  return (
    <div class="app">
      <Hatches />
      <Inside />
      <Refused />
    </div>
  );
}

// Files of their own: nobody opens these first. Those one tap away are asked for as soon as there is a site.
const Block = later(() => import("./screens/block").then((m) => m.Block), true);
const Changed = later(() => import("./screens/changed").then((m) => m.Changed), true);
const Odds = later(() => import("./screens/odds").then((m) => m.Odds));
const Log = later(() => import("./screens/log").then((m) => m.Log));
const Orders = later(() => import("./screens/orders").then((m) => m.Orders));
const Phones = later(() => import("./screens/phones").then((m) => m.Phones));
const Photos = later(() => import("./screens/photos").then((m) => m.Photos));
const Readings = later(() => import("./screens/readings").then((m) => m.Readings));
const Review = later(() => import("./screens/review").then((m) => m.Review));
const Rules = later(() => import("./screens/rules").then((m) => m.Rules));
const Sites = later(() => import("./screens/sites").then((m) => m.Sites));
const Wordings = later(() => import("./screens/wordings").then((m) => m.Wordings));
const Setup = later(() => import("./screens/setup").then((m) => m.Setup));
const Start = later(() => import("./screens/start").then((m) => m.Start));
const Thing = later(() => import("./screens/thing").then((m) => m.Thing));
const Week = later(() => import("./screens/week").then((m) => m.Week));
const Questions = later(() => import("./screens/questions").then((m) => m.Questions));
const Pace = later(() => import("./screens/questions").then((m) => m.Pace));

const Contacts = later(() => import("./screens/contacts").then((m) => m.Contacts));
const News = later(() => import("./screens/news").then((m) => m.News));

/** Screens that need no site, or are about getting one. */
const FREE: Record<string, () => preact.JSX.Element | null> = { pair: Join, join: Join, start: Start, look: Look, about: About };

function Inside() {
  const there = Boolean(head.value);
  useEffect(() => { if (there) fetchSoon(); }, [there]);
  const { phase } = status.value;
  const { screen } = route.value;
  if (phase === "elsewhere") return <Elsewhere />;
  if (phase === "broken") return <Broken />;
  const free = FREE[screen];
  if (!head.value && (free || phase !== "open")) {
    const Free = free ?? Welcome;
    return <Page screen={free ? screen : "welcome"}><Free /></Page>;
  }
  return (
    <>
      <Strip />
      <Update />
      <Body screen={screen} />
      <Spoken />
      <Bar />
    </>
  );
}

const SCREENS: Record<string, () => preact.JSX.Element | null> = {
  today: Today, cant: Cant, changed: Changed, ways: Ways, strings: Strings, block: Block, holds: Holds, texts: Texts, words: Wordings, more: More,
  setup: Setup, questions: Questions, pace: Pace, thing: Thing, log: Log, odds: Odds, sites: Sites, phone: Phones, photos: Photos, readings: Readings, orders: Orders, rules: Rules, review: Review, week: Week, news: News, contacts: Contacts, ...FREE,
};

function Body({ screen }: { screen: string }) {
  const Screen = arriving.value && wanted() ? Arriving : (SCREENS[screen] ?? Today);
  const wide = screen === "strings";
  void views.value;
  return <Page screen={screen} wide={wide}><Screen /></Page>;
}
