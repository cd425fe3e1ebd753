import { job, status } from "../bridge";
import { head, refused, troubleText } from "../state";
import { go, here, path, swap } from "../route";
import { t } from "../words";
import { Btn, Row, Title } from "../parts/kit";

const fail = (e: unknown) => { refused.value = troubleText(e); };

export function Sites() {
  const w = t().sites;
  const s = status.value;
  const open = (site: string) => { job({ to: "open", site }).catch(fail); go("today"); };
  const forget = (site: string) => {
    const line = s.sites.find((x) => x.id === site); // of one left before this was counted nobody knows
    const unsent = site === s.site && head.value ? head.value.unsent + s.pictures : line?.unsent;
    if (!confirm(w.forgetSure(unsent))) return;
    const still = here();
    job({ to: "forget", site }).then(() => { if (still()) swap("sites"); }, fail);
  };
  return (
    <>
      <Title goBack={["more"]}>{w.title}</Title>
      {s.sites.map((line) => (
        <article key={line.id} class={line.id === s.site ? "card taut" : "card"}>
          <h2>{line.name || t().start.title}</h2>
          <p class="soft">{[line.id === s.site && w.here, t().phone.roles[line.role], line.born && s.known !== "paired" && w.only].filter(Boolean).join(" · ")}</p>
          {line.id !== s.site && line.unsent ? <p class="note">{w.unsent(line.unsent)}</p> : null}
          <div class="acts">
            <Btn kind="quiet" label={`${w.forget}: ${line.name}`} onPress={() => forget(line.id)}>{w.forget}</Btn>
            {line.id !== s.site && <Btn kind="main" label={`${w.open}: ${line.name}`} onPress={() => open(line.id)}>{w.open}</Btn>}
          </div>
        </article>
      ))}
      <div class="stack">
        <Row href={path("start")} name={w.start} />
        <Row href={path("pair")} name={w.join} />
      </div>
    </>
  );
}
