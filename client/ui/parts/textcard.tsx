// One text: to whom, why, its words in both languages, and the ways out of the phone.
import { useState } from "preact/hooks";
import type { TextCard } from "../view";
import { act, head, online, refused, show, troubleText } from "../state";
import { status } from "../bridge";
import { go, here, path } from "../route";
import { t } from "../words";
import { copyText } from "../copy";
import { makeLink } from "../links";
import { Btn, Named, PhoneLink } from "./kit";
import { Toggles } from "./fields";

/** marks is what the engine must know about a card when something was done with it: the days it told. */
const marks = (c: TextCard) => ({ id: c.id, fields: { on: c.on, told: c.told } });

export const send = (c: TextCard) => act({ do: "sent", ...marks(c) });

export function Card({ c }: { c: TextCard }) {
  return (
    <article class={c.warn || c.failed ? "card text warn" : "card text"} data-text={c.id}>
      <Head c={c} />
      {c.kind === "callIn" ? <Script c={c} /> : c.sent ? <Answered c={c} /> : c.queued ? <Queued c={c} /> : <Draft c={c} />}
    </article>
  );
}

export function Head({ c }: { c: TextCard }) {
  const why = [c.why, c.sent ? "" : c.since].filter(Boolean).join(" ");
  return (
    <>
      <h3>
        {c.trade ? <Named trade={c.trade}>{c.name}</Named> : c.name}{" "}
        {c.crew && <span class={`how ${c.booking || "pencilled"}`}>{t().booking[c.booking]}</span>}
      </h3>
      {why && <p class="soft">{why}</p>}
      {c.trust && !c.sent && <p class="soft">{c.trust}</p>}
      {c.warn && !c.silent && <p class="rust"><b>{c.warn}</b></p>}
      {c.failed && <p class="rust"><b>{c.failed}</b></p>}
    </>
  );
}

/** Body is the text itself, the owner's language beside it, and how long it is. */
export function Body({ c }: { c: TextCard }) {
  const w = t().texts;
  return (
    <>
      <p class="body" lang={c.lang}>{c.body}</p>
      {c.own && <details><summary>{c.ownLang === head.value?.lang ? w.own : w.otherLang}</summary><p class="body" lang={c.ownLang}>{c.own}</p></details>}
      {c.length && c.kind !== "callIn" && <p class="soft">{c.length}</p>}
    </>
  );
}

export function Draft({ c }: { c: TextCard }) {
  const w = t().texts;
  return (
    <>
      <Body c={c} />
      <div class="acts">
        <Out c={c} />
        <Btn changes label={`${c.kind === "street" ? w.gaveOut : w.sent}: ${c.name}`} onPress={() => void send(c)}>{c.kind === "street" ? w.gaveOut : w.sent}</Btn>
      </div>
      <OtherWays c={c} />
    </>
  );
}

/** Out is the one tap: the phone's message program with the words filled in. */
export function Out({ c, main = true }: { c: TextCard; main?: boolean }) {
  const w = t().texts;
  if (c.href) return <a class={main ? "btn main" : "btn"} href={c.href} aria-label={`${w.open}: ${c.name}`}>{w.open}</a>;
  if (c.kind === "street") return <Share c={c} main />;
  const thing = c.crew ? path("thing", "crew", c.crew) : path("thing", "order", c.on[0] ?? "");
  return <a class="btn main" href={thing} aria-label={`${w.firstNumber}: ${c.name}`}>{w.firstNumber}</a>;
}

function Share({ c, main }: { c: TextCard; main?: boolean }) {
  const w = t().texts;
  if (!("share" in navigator)) return main ? <Copy c={c} main /> : null;
  const share = () => void navigator.share({ title: c.subject, text: c.body }).catch(() => undefined);
  return <Btn kind={main ? "main" : "plain"} label={`${w.share}: ${c.name}`} onPress={share}>{w.share}</Btn>;
}

function Copy({ c, main }: { c: TextCard; main?: boolean }) {
  const w = t().texts;
  const [copied, setCopied] = useState(false);
  const copy = () => copyText(c.body).then(() => setCopied(true), () => setCopied(false));
  return <Btn kind={main ? "main" : "plain"} label={`${w.copy}: ${c.name}`} onPress={() => void copy()}>{copied ? w.copied : w.copy}</Btn>;
}

export function OtherWays({ c }: { c: TextCard }) {
  const w = t().texts;
  const byServer = status.value.senders.filter((via) => (via === "email" ? !!c.email : !!c.href));
  const link = () => void makeLink(c.crew).then(() => show(), (e: unknown) => { refused.value = troubleText(e); });
  return (
    <details class="more">
      <summary>{w.ways}</summary>
      <div class="acts wrap">
        <Copy c={c} />
        <Share c={c} />
        {c.mail && <a class="btn" href={c.mail} aria-label={`${w.mail}: ${c.name}`}>{w.mail}</a>}
        {byServer.map((via) => (
          <Btn key={via} changes label={`${w.byServer[via]}: ${c.name}`} onPress={() => void act({ do: "queue", op: via, ...marks(c) })}>{w.byServer[via]}</Btn>
        ))}
        {c.wants && <Btn changes off={!online.value} label={`${w.link}: ${c.name}`} onPress={link}>{w.link}</Btn>}
      </div>
      {c.wants && <p class="soft">{w.linkNeeds}</p>}
    </details>
  );
}

function Queued({ c }: { c: TextCard }) {
  const w = t().texts;
  return (
    <>
      <p class="green">{c.sentLine}</p>
      <details><summary>{w.whole}</summary><p class="body" lang={c.lang}>{c.body}</p></details>
      <Btn changes label={`${w.takeBack}: ${c.name}`} onPress={() => void act({ do: "queue", op: "", ...marks(c) })}>{w.takeBack}</Btn>
    </>
  );
}

/** Script is what one says on the phone. */
function Script({ c }: { c: TextCard }) {
  const w = t();
  return (
    <>
      <Body c={c} />
      <div class="acts">
        <PhoneLink phone={c.phone} who={c.name} />
        <Btn changes label={`${w.holds.callIn}: ${c.name}`} onPress={() => go("holds", c.on[0] ?? "")}>{w.holds.callIn}</Btn>
      </div>
    </>
  );
}

/** daysOf are the first and last day a text told: of tomorrow's text the day itself, of others the days of its work. */
function daysOf(c: TextCard): string[] {
  const day = c.kind === "tomorrow" ? /\d{4}-\d\d-\d\d$/.exec(c.id)?.[0] : "";
  if (day) return [day, day];
  const days = c.told.flatMap((t) => t.split("/").map((m) => m.slice(0, 10))).sort();
  return days.length ? [days[0]!, days.at(-1)!] : [];
}

/** Answered asks what came back; a no goes straight on to the days and the ways. */
export function Answered({ c }: { c: TextCard }) {
  const w = t().texts;
  const choices = [{ id: "yes", name: w.yes }, { id: "no", name: w.no }, { id: "other", name: w.other }];
  const say = async (key: string) => {
    const still = here();
    if (await act({ do: "answer", id: c.id, key }) && key !== "yes" && still()) go("cant", c.crew, ...daysOf(c));
  };
  return (
    <>
      {c.sentLine && <p class="green">{c.sentLine}</p>}
      {c.silent && <p class="rust"><b>{c.silent}</b></p>}
      {c.crew && c.kind !== "off" && (
        <>
          <p>{w.answered}</p>
          <Toggles label={`${w.answered} ${c.name}`} value={c.answer} choices={choices} set={(key) => void say(key)} />
        </>
      )}
      <details><summary>{w.whole}</summary><p class="body" lang={c.lang}>{c.body}</p>{c.href && <Out c={c} main={false} />}</details>
    </>
  );
}
