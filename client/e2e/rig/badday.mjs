// A bad day: with SLOW=SEED in the environment whatever may come late comes late, by chance: what goes over
// the wire, what a screen and its worker say to each other, what the phone's store and the network answer the
// worker. Nothing is lost and nothing overtakes what it could not overtake without. A story holds all the same;
// where it does not, either the app or the story counted on luck.
import { Transform } from "node:stream";

const SEED = Number(process.env.SLOW ?? 0);
if (SEED) console.error(`a bad day: SLOW=${SEED}`);

const WIRE_MS = 300, WORD_MS = 200, STORE_MS = 150;
let drawn = 0;

/** chance gives numbers from 0 to 1 that depend on the seed alone (mulberry32, in the public domain). */
function chance(seed) {
  let a = seed | 0;
  return () => {
    a = (a + 0x6d2b79f5) | 0;
    let t = Math.imul(a ^ (a >>> 15), 1 | a);
    t = (t + Math.imul(t ^ (t >>> 7), 61 | t)) ^ t;
    return ((t ^ (t >>> 14)) >>> 0) / 4294967296;
  };
}

/** pipe lets one end of a wire hear the other; every second piece waits, the order stays. */
export function pipe(from, to) {
  if (!SEED) return from.pipe(to);
  const random = chance(1000 * SEED + ++drawn);
  const wait = () => (random() < 0.5 ? 0 : WIRE_MS * random());
  return from.pipe(new Transform({ transform(piece, _, done) { setTimeout(() => done(null, piece), wait()); } })).pipe(to);
}

/** hurt makes the bad day one of a phone's, before anything is opened on it. */
export async function hurt(context) {
  if (!SEED) return;
  const source = chance.toString();
  await context.addInitScript(screen, [source, 1000 * SEED + ++drawn, WORD_MS]);
  context.on("page", (page) => page.on("worker", (worker) => {
    worker.evaluate(inside, [source, 1000 * SEED + ++drawn, STORE_MS]).catch(() => undefined); // gone already
  }));
}

function screen([source, seed, most]) {
  const random = Function(`return ${source}`)()(seed), later = setTimeout;
  const wait = () => new Promise((go) => { later(go, random() < 0.5 ? 0 : most * random()); });
  globalThis.Worker = class extends Worker {
    #there = Promise.resolve();
    #back = Promise.resolve();
    postMessage(...all) { this.#there = this.#there.then(wait).then(() => super.postMessage(...all)); }
    set onmessage(hear) { super.onmessage = (e) => { this.#back = this.#back.then(wait).then(() => hear(e)); }; }
  };
}

function inside([source, seed, most]) {
  const random = Function(`return ${source}`)()(seed);
  const wait = () => new Promise((go) => { setTimeout(go, random() < 0.6 ? 0 : most * random()); });
  const listen = IDBTransaction.prototype.addEventListener, ask = fetch;
  IDBTransaction.prototype.addEventListener = function (kind, run, how) {
    listen.call(this, kind, kind === "complete" ? (e) => { void wait().then(() => run.call(this, e)); } : run, how);
  };
  globalThis.fetch = async (...all) => {
    await wait();
    const answer = await ask(...all);
    await wait();
    return answer;
  };
}
