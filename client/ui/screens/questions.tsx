import { useEffect, useState } from "preact/hooks";
import { signal } from "@preact/signals";
import type { Ask, AskScreen, ChangeSeen, QuestionsView } from "../view";
import { act, ask, carry, head, said, views } from "../state";
import { drafts } from "../drafts";
import { dropTyped, formOf, keepTyped, typedIn } from "../typed";
import { go, here, path, route, swap } from "../route";
import { t } from "../words";
import { Btn, ReadOnly, Section, Title } from "../parts/kit";
import { Check, Field } from "../parts/fields";
import { NameIt } from "./start";

/** walked is the site whose pages somebody has been through to the end, skipped or not: what is left is to make the plan. */
const walked = signal("");

/** Questions: what the room is, what it shall be, who does what. #/questions lists them, #/questions/size asks. */
export function Questions() {
  const v = views.value.questions?.questions;
  const w = t().questions;
  if (!v) return <Title goBack={["setup"]}>{w.title}</Title>;
  return <Pages key={head.value?.siteId} v={v} />;
}

/** Pages keeps what was tapped and not taken yet over a reload; a plan is not changed by it before somebody takes it. */
function Pages({ v }: { v: QuestionsView }) {
  useEffect(() => {
    const was = (v.made && typedIn(formOf("questions"))) || {};
    if (JSON.stringify(was) === JSON.stringify(drafts.value)) return;
    drafts.value = was as Record<string, string>; // of this site: those of another have no business here
    void ask({ do: "show", screen: "questions", fields: drafts.value });
  }, []);
  const at = v.screens.findIndex((s) => s.id === route.value.rest[0]);
  return at < 0 ? <All v={v} /> : <One key={v.screens[at]!.id} v={v} at={at} />;
}

function draft(answers: Record<string, string>, form = formOf("questions")) {
  drafts.value = answers;
  if (Object.keys(answers).length) keepTyped(form, answers);
  else dropTyped(form);
}

function All({ v }: { v: QuestionsView }) {
  const w = t().questions;
  const first = v.screens.find((s) => s.skipped) ?? v.screens[0]!;
  const through = walked.value !== "" && walked.value === head.value?.siteId;
  const make = async () => {
    const still = here();
    if (await act({ do: "build", screen: "questions" }) && still()) { carry(); swap("strings"); }
  };
  return (
    <>
      <Title goBack={["setup"]} line={w.count(v.answered, v.screens.length)}>{w.title}</Title>
      <ReadOnly />
      {!v.blocked && <p class="lead">{v.made ? w.madeLead : w.lead}</p>}
      {v.blocked ? <p class="note">{v.blocked}</p> : (v.made || v.answered > 0 || through) && <p>{v.outcome}</p>}
      {v.change && <Change c={v.change} apart={v.apart} />}
      {!v.made && !v.blocked && (
        <div class="stack">
          <NameIt key={head.value?.siteId} />
          {!through && v.answered < v.screens.length && <Btn kind={v.answered ? "plain" : "main"} changes onPress={() => go("questions", first.id)}>{v.answered ? w.goOn : w.begin}</Btn>}
          <Btn kind={v.answered || through ? "main" : "plain"} changes onPress={() => void make()}>{w.make}</Btn>
        </div>
      )}
      <section aria-label={w.answers}>
        {v.screens.map((s) => (
          <a key={s.id} class="row" href={path("questions", s.id)}>
            <span class="grow"><b>{s.title}</b><span class="soft">{s.said}</span></span>
            {s.skipped && <span class="tag">{w.assumed}</span>}
          </a>
        ))}
      </section>
      <Assumed v={v} />
    </>
  );
}

/** Assumed names what nobody said, with where it is from; each leads to the question that settles it. */
function Assumed({ v }: { v: QuestionsView }) {
  const w = t().questions;
  return (
    <details class="group-list">
      <summary>{w.assumedTitle} <span class="count">{v.assumed.length}</span></summary>
      {v.assumed.map((a, i) => (
        <a key={i} class="row" href={path("questions", a.screen)}>
          <span class="grow"><b>{a.text}</b><span class="soft">{[a.mark, a.source].filter(Boolean).join(" · ")}</span></span>
        </a>
      ))}
    </details>
  );
}

function Change({ c, apart }: { c: ChangeSeen; apart?: string }) {
  const w = t().questions;
  const take = async () => {
    const taken = drafts.value, form = formOf("questions");
    if (await act({ do: "build", fields: taken, screen: "questions" }) && drafts.value === taken) draft({}, form);
  };
  const mends = !!apart && Object.keys(drafts.value).length === 0; // nothing was answered here: to leave it as it is takes a reason
  const leave = () => {
    if (mends) { go("review"); return; }
    draft({});
    void ask({ do: "show", screen: "questions" });
  };
  return (
    <section class="card best" aria-label={w.change}>
      <h2>{w.change}</h2>
      {apart && <p>{apart}</p>}
      <p><b>{c.same ? w.same : c.finish}</b></p>
      <ul class="plain">{c.lines.map((l) => <li key={l}>{l}</li>)}</ul>
      {c.kept.map((l) => <p key={l} class="note">{l}</p>)}
      <div class="acts"><Btn onPress={leave}>{w.leave}</Btn><Btn kind="main" changes onPress={() => void take()}>{w.take}</Btn></div>
    </section>
  );
}

function One({ v, at }: { v: QuestionsView; at: number }) {
  const w = t().questions;
  const s = v.screens[at]!;
  const next = v.screens[at + 1];
  const say = (id: string, value: string) => {
    if (!v.made) return act({ do: "answers", fields: { [id]: value || null }, screen: "questions" });
    const was = drafts.value, now = { ...was, [id]: value }, form = formOf("questions");
    drafts.value = now;
    return ask({ do: "show", screen: "questions", fields: now }).then((view) => {
      const taken = !!view && !view.refused;
      if (drafts.value === now) draft(taken ? now : was, form); // what was refused is asked about once
      return taken;
    });
  };
  const on = () => { if (!next) walked.value = head.value?.siteId ?? ""; said.value = undefined; swap("questions", ...(next && !v.made ? [next.id] : [])); };
  return (
    <>
      <Title goBack={["questions"]} line={w.page(at + 1, v.screens.length)}>{s.title}</Title>
      <ReadOnly />
      {s.help && <p class="soft">{s.help}</p>}
      {s.id === "size" && <Units v={v} />}
      {s.questions.map((q) => <Asked key={q.id + v.units} q={q} alone={alone(s)} say={say} />)}
      <div class="acts">
        {at > 0 && !v.made && <Btn onPress={() => swap("questions", v.screens[at - 1]!.id)}>{t().back}</Btn>}
        <Btn kind={s.skipped && next && !v.made ? "plain" : "main"} onPress={on}>{v.made || !next ? w.done : s.skipped ? w.skip : w.next}</Btn>
      </div>
    </>
  );
}

/** alone: the page's title asks it already. */
const alone = (s: AskScreen) => s.questions.length === 1;

function Units({ v }: { v: QuestionsView }) {
  const w = t().questions;
  return (
    <div class="toggles" role="group" aria-label={t().field.units}>
      {(["us", "metric"] as const).map((u) => (
        <button key={u} type="button" class="toggle" aria-pressed={v.units === u} onClick={() => void act({ do: "edit", kind: "site", id: "site", fields: { units: u }, screen: "questions" })}>{w.units[u]}</button>
      ))}
    </div>
  );
}

function Asked({ q, alone, say }: { q: Ask; alone: boolean; say: (id: string, value: string) => Promise<boolean> }) {
  const w = t().questions;
  return (
    <section class="asked" aria-label={q.ask}>
      {q.options.length > 0 && !alone && <h2>{q.ask}</h2>}
      {q.kind === "choice" && (
        <div class="stack" role="group" aria-label={q.ask}>
          {q.options.map((o) => <button key={o.id} type="button" class="toggle" aria-pressed={o.id === q.value} onClick={() => void say(q.id, o.id === q.value ? "" : o.id)}>{o.name}</button>)}
        </div>
      )}
      {q.kind === "many" && <Many q={q} say={say} />}
      {q.options.length === 0 && <Typed q={q} say={say} />}
      {q.help && <p class="soft">{q.help}</p>}
      {!q.value && q.usual && <p class="soft">{w.usual(q.usual)} {q.source && `(${[q.mark, q.source].filter(Boolean).join(": ")})`}</p>}
    </section>
  );
}

function Many({ q, say }: { q: Ask; say: (id: string, value: string) => Promise<boolean> }) {
  const [value, setValue] = useState(q.value); // ahead of the planner: the second tap counts from the first
  useEffect(() => setValue(q.value), [q.value]);
  const on = value && value !== "-" ? value.split(",") : [];
  const put = (to: string) => { setValue(to); void say(q.id, to); };
  const set = (id: string, yes: boolean) => put((yes ? [...on, id] : on.filter((x) => x !== id)).join(",") || "-");
  return (
    <>
      {q.options.map((o) => <Check key={o.id} label={o.name} on={on.includes(o.id)} set={(yes) => set(o.id, yes)} />)}
      <Check label={t().questions.nothing} on={value === "-"} set={(yes) => put(yes ? "-" : "")} />
    </>
  );
}

/** Typed keeps what was typed until it makes sense; what it was understood as stands beside it. */
function Typed({ q, say }: { q: Ask; say: (id: string, value: string) => Promise<boolean> }) {
  const [text, setText] = useState(q.value);
  const [half, setHalf] = useState(false);
  useEffect(() => setText(q.value), [q.value]);
  const kind = q.kind === "day" ? { type: "date" } : q.kind === "count" ? { type: "text", inputMode: "numeric", autocomplete: "off" } : { type: "text", autocomplete: "off" };
  return (
    <>
      <Field label={q.ask} note={q.kind === "length" ? q.shown : undefined}>
        <input {...(kind as object)} value={text} onInput={(e) => { setHalf(e.currentTarget.validity.badInput); if (!e.currentTarget.validity.badInput) setText(e.currentTarget.value); }}
          onChange={(e) => { if (!e.currentTarget.validity.badInput) void say(q.id, text.trim()); }} />
      </Field>
      {half && <p class="rust" role="alert">{t().setup.halfDate(q.ask)}</p>}
    </>
  );
}

/** Pace is what finished work says about the rest: numbers, and one tap to take them. */
export function Pace() {
  const v = views.value.pace?.pace;
  const w = t().questions;
  if (!v) return <Title goBack={["today"]}>{w.pace}</Title>;
  const take = async (key?: string) => {
    const still = here();
    if (await act({ do: "pace", id: v.id, key, screen: "today" }) && still()) { carry(); swap("today"); }
  };
  return (
    <>
      <Title goBack={["today"]}>{w.pace}</Title>
      <p class="lead">{v.title}</p>
      <p>{v.how}</p>
      <Section name={v.take}><ul class="plain">{v.lines.map((l) => <li key={l}>{l}</li>)}</ul></Section>
      <p><b>{v.finish}</b></p>
      <div class="acts">
        <Btn changes onPress={() => void take("leave")}>{w.paceLeave}</Btn>
        <Btn kind="main" changes onPress={() => void take()}>{w.paceTake}</Btn>
      </div>
    </>
  );
}
