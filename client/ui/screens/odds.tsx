import { useEffect } from "preact/hooks";
import type { OddsDay, OddsLine, OddsView } from "../view";
import { ask, views } from "../state";
import { pathOf } from "../route";
import { t } from "../words";
import { Section, Title } from "../parts/kit";

/** Odds: no single date but a hundred dots, day by day downwards, that settle as the runs go on. */
export function Odds() {
  const v = views.value.odds?.odds;
  const w = t().odds;
  const more = !!v?.more; // true again whenever the plan has changed meanwhile
  useEffect(() => {
    let here = more;
    if (more) void rollOn(() => here);
    return () => { here = false; };
  }, [more]);
  if (!v) return <Title goBack={["more"]} line={w.lead}>{w.title}</Title>;
  return (
    <>
      <Title goBack={["more"]} line={w.lead}>{w.title}</Title>
      <p class="lead">{v.line}</p>
      {v.promise && <p class="note promise"><b>{v.promise}</b></p>}
      {v.plan && <p>{v.plan}</p>}
      {v.days.length > 0 && <Dots v={v} />}
      {v.taut.length > 0 && (
        <Section name={w.taut}>
          <p class="soft">{w.tautNote}</p>
          <ul class="plain">{v.taut.map((l) => <Often key={l.id} l={l} />)}</ul>
        </Section>
      )}
      {v.made && <p>{v.made}</p>}
      {v.trust.map((line) => <p key={line} data-trust>{line}</p>)}
      <p class="soft">{v.left}</p>
    </>
  );
}

/** rollOn asks for the next portion as long as the screen is open; what is shown only ever settles. */
async function rollOn(here: () => boolean) {
  const began = performance.now();
  while (here() && views.value.odds?.odds?.more) {
    if (!(await ask({ do: "odds", screen: "odds" }))) return;
  }
  if (views.value.odds?.odds?.more === false) performance.measure("bb.odds.last", { start: began });
}

function Dots({ v }: { v: OddsView }) {
  const w = t().odds;
  return (
    <section class="odds" data-more={v.more ? "yes" : "no"}>
      <p class="soft">{w.dot} {v.more && w.rolling(v.runs, v.of)}</p>
      <ol class="spread">{v.days.map((d) => <Day key={d.day} d={d} most={v.most} />)}</ol>
    </section>
  );
}

const R = 4.5; // of a dot
const STEP = 11; // from dot to dot, as long as they fit
const WIDE = 240;

function Day({ d, most }: { d: OddsDay; most: number }) {
  const step = Math.min(STEP, WIDE / Math.max(most, 1));
  return (
    <li class={d.plan ? "planned" : undefined} data-dots={d.dots}>
      <span class="when">{d.text}</span>
      {d.dots > 0 && (
        <svg class="dots" viewBox={`0 0 ${WIDE + 2 * R} 14`} aria-hidden="true">
          {Array.from({ length: d.dots }, (_, i) => <circle key={i} cx={R + 1 + i * step} cy={7} r={R} />)}
        </svg>
      )}
      {d.dots > 0 && <span class="often">{d.dots}</span>}
      {d.plan && <b class="says">{t().odds.plan}</b>}
      {d.marks.map((m) => <b key={m} class="mark">{m}</b>)}
    </li>
  );
}

const Often = ({ l }: { l: OddsLine }) => (
  <li data-taut={l.id}>
    <a class="line" href={pathOf(l.kind, l.id)}>
      <b>{l.name}</b> <span>{l.often}</span>
      <span class="small soft">{l.by}</span>
    </a>
  </li>
);
