// The worker's door. One tab runs the engine; navigator.locks decides which, so that two tabs never
// write operations with the same number.
import type { Answer, Ask, Job, Push } from "./messages";
import { Phone, Trip } from "./phone";
import { Said } from "./server";
import { Turns } from "./turns";

const LOCK = "batterboard";
const post = (message: Answer | Push) => self.postMessage(message);

let phone = new Phone(post);
let wish: Extract<Job, { to: "start" }> | undefined;
let waiting: AbortController | undefined;
/** turns stands in for the locks, which a plain http:// page does not get. */
const turns = "locks" in navigator ? undefined : new Turns(() => { phone.stop({ code: "elsewhere" }); tell(); });

self.onmessage = (e: MessageEvent<Ask>) => void take(e.data);
self.addEventListener("online", () => phone.online());

async function take(ask: Ask) {
  phone.wind(ask);
  try {
    post(await answer(ask));
  } catch (e) {
    post({ n: ask.n, error: e instanceof Trip || e instanceof Said ? e.trouble : { code: "stumbled", text: String(e) } });
  }
}

async function answer(ask: Ask): Promise<Answer> {
  switch (ask.to) {
    case "start":
      wish = ask;
      void hold({ ifAvailable: true });
      return { n: ask.n };
    case "useHere":
      waiting?.abort();
      void hold({ steal: true });
      return { n: ask.n };
    case "engine":
      return { n: ask.n, view: await phone.intent(ask.req) };
    default:
      return { n: ask.n, value: await phone.answer(ask) };
  }
}

/** hold keeps the lock for as long as this tab is the one that works. */
async function hold(how: LockOptions) {
  if (turns) return void ((await turns.take(!!how.steal)) ? work() : tell());
  try {
    await navigator.locks.request(LOCK, how, (lock) => (lock ? work() : elsewhere()));
  } catch (e) {
    // Another tab took over, or stopped our waiting because a person did so here.
    if (e instanceof DOMException && e.name === "AbortError" && !how.signal) {
      phone.stop({ code: "elsewhere" });
      elsewhere();
    }
  }
}

/** elsewhere says so, and gets in line for the moment the other tab is closed. */
function elsewhere() {
  tell();
  waiting = new AbortController();
  void hold({ signal: waiting.signal });
}

function tell() {
  phone.status.phase = "elsewhere";
  post({ push: "status", status: phone.status });
}

async function work() {
  const clock = phone.status.phase === "elsewhere" ? phone : undefined;
  if (clock) { phone = new Phone(post); phone.wind(clock.lastClock); }
  try {
    await phone.start(wish?.lang ?? "en", wish?.site ?? "");
  } catch (e) {
    phone.status.phase = "broken";
    phone.status.why = e instanceof Trip ? e.trouble : { code: "stumbled", text: String(e) };
    post({ push: "status", status: phone.status });
  }
  await new Promise(() => undefined);
}
