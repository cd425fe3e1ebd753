import { useState } from "preact/hooks";
import type { Act, MovedLine, OnSite } from "../view";
import { act, ask, head, locked, views } from "../state";
import { go, here, path, pathOf } from "../route";
import { t } from "../words";
import { Unread } from "../parts/clash";
import { Btn, PhoneLink, ReadOnly, Row, Section, Title } from "../parts/kit";
import { Named } from "../parts/kit";
import { Bell } from "../parts/bell";
import { Field } from "../parts/fields";

export function Today() {
  const v = views.value.today?.today;
  const h = head.value;
  if (!v || !h) return <Title>{t().today.title}</Title>;
  if (h.empty) return <EmptySite />;
  return (
    <>
      <Title line={`${v.day.long} · ${h.finishLine}`}>{h.site}</Title>
      <ReadOnly />
      <Lead line={v.lead} next={v.acts[0]} />
      {!locked.value && (
        <div class="acts">
          <Btn kind="bad" onPress={() => go("cant")}>{t().today.cant}</Btn>
          <Btn onPress={() => go("changed")}>{t().today.changed}</Btn>
        </div>
      )}
      {head.value?.problems?.filter((p) => p.loud).map((p) => <p key={p.text} class="note">{p.text}</p>)}
      <Unread />
      <Problems />
      <Section name={t().today.onSite}>
        {v.onSite.map((o) => <OnSiteCard key={o.id + o.crew} o={o} today />)}
        {!v.onSite.length && <p class="soft">{t().today.nobody}</p>}
      </Section>
      <Section name={t().today.acts} count={v.acts.length}>
        <Acts acts={v.acts} today={v.day.day} />
        {!v.acts.length && <p class="soft">{t().today.noActs}</p>}
      </Section>
      <Bell useful={v.acts.some((a) => a.kind === "answer" || a.kind === "heard") || v.onSite.concat(v.next).some((o) => o.booking === "asked" && o.crew !== "")} />
      {v.moved.length > 0 && (
        <Section name={t().today.moved} count={v.moved.length}>
          <Moved list={v.moved.slice(0, FIRST)} />
          {v.moved.length > FIRST && (
            <details class="more">
              <summary>{t().today.more(v.moved.length - FIRST)}</summary>
              <Moved list={v.moved.slice(FIRST)} />
            </details>
          )}
          <Btn onPress={() => void ask({ do: "looked", screen: "today" })}>{t().today.seen}</Btn>
        </Section>
      )}
      {v.own.length > 0 && <Section name={t().today.own}>{v.own.map((o) => <OnSiteCard key={o.id} o={o} today />)}</Section>}
      {v.nextDay && v.next.length > 0 && (
        <Section name={t().today.next(v.nextDay.long)}>{v.next.map((o) => <OnSiteCard key={o.id + o.crew} o={o} />)}</Section>
      )}
    </>
  );
}

/** Lead is what matters most this minute, and the way there. */
function Lead({ line, next }: { line: string; next?: Act }) {
  const to = next && whereTo(next);
  if (!line || !to) return line ? <p class="lead">{line}</p> : null;
  return (
    <a class="lead" href={path(...to)}>
      <span>{line}</span><svg class="go" viewBox="0 0 24 24" aria-hidden="true"><path d="M9 4l8 8-8 8" /></svg>
    </a>
  );
}

function EmptySite() {
  return (
    <>
      <Title>{head.value!.site || t().start.title}</Title>
      <p class="lead">{t().setup.empty}</p>
      <Row href={path("questions")} name={t().questions.row} note={t().questions.lead} />
      <Row href={path("setup")} name={t().more.setup} note={t().more.setupNote} />
    </>
  );
}

/** Problems: one says itself what it is, several are counted. */
function Problems() {
  const list = (head.value?.problems ?? []).filter((p) => !p.loud);
  const [one] = list;
  if (!one) return null;
  if (list.length === 1) return one.open ? <a class="note" href={pathOf(one.kind, one.open)}>{one.text}</a> : <p class="note">{one.text}</p>;
  return (
    <details class="problems">
      <summary>{t().problems(list.length)}</summary>
      <ul class="plain">
        {list.map((p, i) => <li key={i}>{p.open ? <a class="line" href={pathOf(p.kind, p.open)}>{p.text}</a> : <span class="line">{p.text}</span>}</li>)}
      </ul>
    </details>
  );
}

const FIRST = 4; // as many as one takes in before looking up again

const Moved = ({ list }: { list: MovedLine[] }) => (
  <ul class="plain">{list.map((m) => <li key={m.id}><a class="line" href={pathOf(m.kind, m.id)}>{m.text}</a></li>)}</ul>
);

const SAID = ["cant", "heard", "word", "answer"]; // somebody spoke, or should have

/** Acts are the next few, the later ones folded: what is late, due today or said is never under the fold. */
function Acts({ acts, today }: { acts: Act[]; today: string }) {
  const near = acts.filter((a, i) => i < FIRST || a.late || a.today || SAID.includes(a.kind));
  const later = acts.filter((a) => !near.includes(a));
  return (
    <>
      {near.map((a) => <ActCard key={a.id} a={a} today={today} />)}
      {later.length > 0 && (
        <details class="more">
          <summary>{t().today.later(later.length)}</summary>
          <div class="stack">{later.map((a) => <ActCard key={a.id} a={a} today={today} />)}</div>
        </details>
      )}
    </>
  );
}

function OnSiteCard({ o, today }: { o: OnSite; today?: boolean }) {
  const w = t().today;
  const hired = o.crew && o.trade !== "owner";
  /** begin: what may not begin before its caution is read leads to where that is done. */
  const begin = async () => {
    const still = here();
    if (!(await act({ do: "start", id: o.id, at: head.value!.now })) && o.caution && still()) go("block", o.id);
  };
  return (
    <article class={o.taut ? "card taut" : "card"}>
      <a class="cover" href={pathOf(o.kind, o.id)}>
        <span class="facts">
          <Named trade={o.trade}>{o.who}</Named>
          {hired && o.answer !== "yes" && <span class={`how ${o.booking || "pencilled"}`}>{t().booking[o.booking]}</span>}
          {o.answer && !o.started && <span class={o.answer === "yes" ? "how" : "how rust"}>{t().answer[o.answer] ?? o.answer}</span>}
          {o.finished ? <span class="how green">{w.done}</span> : o.started ? <span class="how">{o.done ? w.percent(o.done) : w.running}</span> : null}
        </span>
        <b class="what">{o.what}</b>
        <span class="soft">{[o.when, o.place].filter(Boolean).join(" · ")}</span>
      </a>
      {o.waits && <p class="waits">{o.waits}</p>}
      {o.caution && today && !o.started && <p class="caution">{o.caution}</p>}
      {today && o.kind === "activity" && !o.finished && (
        <div class="acts">
          {!o.started && <Btn changes label={`${w.start}: ${o.what}`} onPress={() => void begin()}>{w.start}</Btn>}
          {o.started && <Btn changes label={`${w.finish}: ${o.what}`} onPress={() => void act({ do: "finish", id: o.id, at: head.value!.now })}>{w.finish}</Btn>}
        </div>
      )}
    </article>
  );
}

const ELSEWHERE: Record<string, string> = { ask: "texts", sendTexts: "texts", answer: "texts", callIn: "holds", revisit: "holds", pace: "pace", visitResult: "holds", photos: "holds", waits: "readings", firm: "orders" };

/** whereTo is the screen on which a call or deed is done, for those that have one. */
function whereTo(a: Act): string[] | undefined {
  const place = ELSEWHERE[a.kind];
  if (a.kind === "cant") return ["cant", a.on, a.from ?? "", a.to ?? ""];
  return place === "holds" || place === "pace" ? [place, a.on] : place ? [place] : undefined;
}

/** ActCard is one call or deed; goods are settled on the spot, the rest has a screen of its own. */
function ActCard({ a, today }: { a: Act; today: string }) {
  const [open, setOpen] = useState(false);
  const to = whereTo(a);
  const press = () => (to ? go(...to) : a.kind === "heard" || a.kind === "word" ? void act({ do: a.kind, id: a.on }) : setOpen(!open));
  return (
    <article class={a.late ? "card act late" : "card act"}>
      <p class="what"><b>{a.text}</b> <span class={a.late ? "by rust" : "by"}>{a.by}</span></p>
      {open ? <GoodsForm a={a} today={today} done={() => setOpen(false)} /> : (
        <div class="acts">
          <PhoneLink phone={a.phone} who={a.text} />
          <Btn changes={!to} label={`${a.button}: ${a.text}`} onPress={press}>{a.button}</Btn>
          {a.kind === "word" && <Btn changes label={`${t().today.seen}: ${a.text}`} onPress={() => void act({ do: "heard", id: a.on })}>{t().today.seen}</Btn>}
        </div>
      )}
    </article>
  );
}

function GoodsForm({ a, today, done }: { a: Act; today: string; done: () => void }) {
  const [from, setFrom] = useState(a.kind === "arrived" ? today : "");
  const [short, setShort] = useState("");
  const arrived = a.kind === "arrived";
  const save = async () => {
    if (await act({ do: arrived ? "arrive" : "order", id: a.on, from: from || undefined, said: short || undefined })) done();
  };
  return (
    <>
      <Field label={arrived ? t().field.arrived : t().field.due}><input type="date" value={from} onInput={(e) => setFrom(e.currentTarget.value)} /></Field>
      {arrived && <Field label={t().field.short}><input value={short} onInput={(e) => setShort(e.currentTarget.value)} /></Field>}
      <div class="acts"><Btn onPress={done}>{t().cancel}</Btn><Btn kind="main" changes onPress={() => void save()}>{a.button}</Btn></div>
    </>
  );
}
