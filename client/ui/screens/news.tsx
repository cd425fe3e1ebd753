// Word from crews while the app is closed, and the plan in the owner's own calendar.
import { useEffect, useState } from "preact/hooks";
import { job, status } from "../bridge";
import { copyText } from "../copy";
import { able, known, learn, pushState, turnOff, turnOn, type PushState } from "../push";
import { lasting, OWN_LIFE, stillGood, type Link } from "../lasting";
import { head, read, refused, said, troubleText, write } from "../state";
import { t } from "../words";
import { Btn, Section, Title } from "../parts/kit";

const fail = (e: unknown) => { refused.value = troubleText(e); };

export function News() {
  const w = t().news;
  return (
    <>
      <Title goBack={["more"]}>{w.title}</Title>
      <Push />
      {head.value?.role !== "viewer" && <Calendar />}
    </>
  );
}

function Push() {
  const w = t().news;
  const told = known.value;
  const heard = able() !== "off" ? able() : told?.site === status.value.site ? told.state : undefined;
  const state = heard ?? "off";
  const online = status.value.link === "on";
  useEffect(() => { if (online && able() === "off") learn(pushState).catch(() => undefined); }, [online]);
  const go = (how: () => Promise<PushState>) => void learn(how).catch(fail);
  const why = { none: w.none, plain: w.plain, iphone: w.iphone, blocked: w.blocked, on: "", off: "" }[state];
  return (
    <Section name={w.push}>
      <p>{w.lead}</p>
      {why ? <p class="note">{why}</p> : !heard ? <p class="note">{w.offline}</p> : (
        <>
          <p data-push={state}><b>{state === "on" ? w.on : w.off}</b></p>
          {state === "on" ? <Btn onPress={() => go(turnOff)}>{w.turnOff}</Btn> : <Btn kind="main" onPress={() => go(turnOn)}>{w.turnOn}</Btn>}
        </>
      )}
      <p class="soft">{w.kept}</p>
    </Section>
  );
}

/** The address stays on this phone: the server keeps only its hash, and it is in no log and no backup. */
const key = () => `bb.feed.${status.value.site}`;

const kept = (): Link | undefined => stillGood(read(key()));

function Calendar() {
  const w = t().news;
  const [link, setLink] = useState(kept);
  const at = key(); // another site may be open when an answer comes
  const show = (got?: Link) => { write(at, got ? JSON.stringify(got) : ""); setLink(got); };
  const make = (anew: boolean) => void job<Link>({ to: "feedLink", anew }).then((got) => show(lasting(got, OWN_LIFE)), fail);
  const drop = () => void job({ to: "feedUnlink" }).then(() => { show(); said.value = { text: w.dropped }; }, fail);
  const copy = () => void copyText(link!.url).then(() => { said.value = { text: w.copied }; }, fail);
  return (
    <Section name={w.calendar}>
      <p>{w.calLead}</p>
      {link ? (
        <>
          <p class="address" data-feed-link>{link.url}</p>
          <div class="acts">
            <a class="btn main" href={link.url.replace(/^https?:/, "webcal:")}>{w.subscribe}</a>
            <Btn onPress={copy}>{w.copy}</Btn>
          </div>
          <details class="more">
            <summary>{w.lost}</summary>
            <div class="acts">
              <Btn onPress={() => make(true)}>{w.anew}</Btn>
              <Btn kind="bad" onPress={drop}>{w.drop}</Btn>
            </div>
          </details>
        </>
      ) : <Btn kind="main" onPress={() => make(false)}>{w.make}</Btn>}
      <p class="soft">{w.slow}</p>
    </Section>
  );
}
