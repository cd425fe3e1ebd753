import { useState } from "preact/hooks";
import type { TextCard } from "../view";
import { act, views } from "../state";
import { go, path } from "../route";
import { t } from "../words";
import { Btn, Named, ReadOnly, Section, Title } from "../parts/kit";
import { Toggles } from "../parts/fields";
import { copyText } from "../copy";

export function Texts() {
  const v = views.value.texts?.texts;
  const w = t().texts;
  if (!v) return <Title>{w.title}</Title>;
  const none = !v.tomorrow.length && !v.moved.length && !v.ask.length;
  return (
    <>
      <Title line={v.line}>{w.title}</Title>
      <ReadOnly />
      {v.moved.length > 0 && <Section name={w.moved} count={v.moved.length}>{v.moved.map((c) => <Card key={c.id} c={c} />)}</Section>}
      {v.tomorrow.length > 0 && <Section name={v.day.long} count={v.tomorrow.length}>{v.tomorrow.map((c) => <Card key={c.id} c={c} />)}</Section>}
      {v.ask.length > 0 && <Section name={w.ask} count={v.ask.length}>{v.ask.map((c) => <Card key={c.id} c={c} />)}</Section>}
      {none && <p class="soft">{w.none}</p>}
    </>
  );
}

function Card({ c }: { c: TextCard }) {
  return (
    <article class={c.warn ? "card text warn" : "card text"} data-text={c.id}>
      <h3><Named trade={c.trade}>{c.name}</Named> <span class={`how ${c.booking || "pencilled"}`}>{t().booking[c.booking]}</span></h3>
      {c.warn && <p class="rust"><b>{c.warn}</b></p>}
      {c.sent ? <Answered c={c} /> : <Draft c={c} />}
    </article>
  );
}

function Draft({ c }: { c: TextCard }) {
  const w = t().texts;
  const [copied, setCopied] = useState(false);
  const copy = () => copyText(c.body).then(() => setCopied(true), () => setCopied(false));
  return (
    <>
      <p class="body" lang={c.lang}>{c.body}</p>
      {c.own && <details><summary>{w.own}</summary><p class="body">{c.own}</p></details>}
      {c.parts > 1 && <p class="soft">{w.parts(c.parts)}</p>}
      <div class="acts">
        {c.phone
          ? <a class="btn main" href={c.href} aria-label={`${w.open}: ${c.name}`}>{w.open}</a>
          : <a class="btn main" href={path("thing", "crew", c.crew)} aria-label={`${w.firstNumber}: ${c.name}`}>{w.firstNumber}</a>}
        <Btn label={`${w.copy}: ${c.name}`} onPress={() => void copy()}>{copied ? w.copied : w.copy}</Btn>
        <Btn changes label={`${w.sent}: ${c.name}`} onPress={() => void act({ do: "sent", id: c.id })}>{w.sent}</Btn>
      </div>
    </>
  );
}

/** Answered asks what came back; a no goes straight on to the days and the ways. */
function Answered({ c }: { c: TextCard }) {
  const w = t().texts;
  const choices = [{ id: "yes", name: w.yes }, { id: "no", name: w.no }, { id: "other", name: w.other }];
  const say = async (key: string) => {
    if (await act({ do: "answer", id: c.id, key }) && key !== "yes") go("cant", c.crew);
  };
  return (
    <>
      {c.sentLine && <p class="green">{c.sentLine}</p>}
      <p>{w.answered}</p>
      <Toggles label={`${w.answered} ${c.name}`} value={c.answer} choices={choices} set={(key) => void say(key)} />
      <details><summary>{w.open}</summary><p class="body" lang={c.lang}>{c.body}</p>{c.phone && <a class="btn plain" href={c.href}>{w.open}</a>}</details>
    </>
  );
}
