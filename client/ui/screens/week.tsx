// One week on one page, for the wall of the site. What is not paper is left out by the style sheet.
import { views } from "../state";
import { path } from "../route";
import { t } from "../words";
import { Btn, Title } from "../parts/kit";

export function Week() {
  const v = views.value.week?.week;
  const w = t().trade.week;
  if (!v) return <Title goBack={["more"]}>{w.title}</Title>;
  return (
    <>
      <Title goBack={["more"]} line={v.title}>{v.site || w.title}</Title>
      <div class="acts off-paper">
        <a class="btn plain" href={path("week", v.before)}>{w.before}</a>
        <a class="btn plain" href={path("week", v.after)}>{w.after}</a>
        <Btn kind="main" onPress={() => print()}>{w.print}</Btn>
      </div>
      <div class="paper">
        {v.lines.map((l) => <p key={l}>{l}</p>)}
        <h2>{w.days}</h2>
        <dl class="week">
          {v.days.map((d) => (
            <div key={d.day.day} class={d.today ? "today" : ""}>
              <dt>{d.day.long}</dt>
              {d.shut && <dd><b>{d.shut}</b></dd>}
              {d.lines.map((l) => <dd key={l}>{l}</dd>)}
              {!d.lines.length && !d.shut && <dd class="soft">{w.nobody}</dd>}
            </div>
          ))}
        </dl>
        {v.holds.length > 0 && <h2>{w.holds}</h2>}
        {v.holds.map((h) => (
          <p key={h.name} class="hold-line">
            <b>{h.name}</b> · {h.status}{h.shuts && <> · {w.shuts} {h.shuts}</>}
            {h.ready.length > 0 && <span class="soft"> · {w.ready} {h.ready.join("; ")}</span>}
          </p>
        ))}
        {v.cautions.length > 0 && <h2>{w.cautions}</h2>}
        <div class="warnings">{v.cautions.map((c) => (
          <p key={c.text} class={c.stop ? "caution-line stop" : "caution-line"}>
            <b>{c.text}</b> <span>{c.for}</span> <span class="soft">· {w.decides} {c.defer}</span>
            {c.stop && <span class="sign">{w.sign} {c.acked || "______________"}</span>}
          </p>
        ))}</div>
        {v.contacts.length > 0 && <h2>{w.contacts}</h2>}
        <ul class="contacts">{v.contacts.map((c) => <li key={c.phone + c.who}>{c.who}{c.what && ` · ${c.what}`}: <a href={`tel:${c.phone}`}>{c.phone}</a></li>)}</ul>
        <p class="soft">{v.foot}</p>
        <p class="soft">{v.printed}</p>
      </div>
    </>
  );
}
