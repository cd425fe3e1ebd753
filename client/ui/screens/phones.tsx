import { useEffect, useRef, useState } from "preact/hooks";
import { encode } from "uqr";
import type { DeviceLine, Invitation } from "../../worker/messages";
import { job, status } from "../bridge";
import { head, refused, troubleText } from "../state";
import { t } from "../words";
import { Btn, Section, Title } from "../parts/kit";
import { Toggles } from "../parts/fields";
import { copyText } from "../copy";

export function Phones() {
  const w = t().phone;
  const [role, setRole] = useState("second");
  const [got, setGot] = useState<Invitation>();
  const roles = (head.value?.role === "owner" ? ["second", "viewer", "owner"] : ["second", "viewer"]).map((id) => ({ id, name: w.roles[id]! }));
  const make = () => job<Invitation>({ to: "invite", role }).then(setGot, (e) => { refused.value = troubleText(e); });
  return (
    <>
      <Title goBack={["more"]} line={w.lead}>{w.title}</Title>
      {got ? <Code got={got} /> : head.value?.role === "viewer" ? null : (
        <>
          <h2>{w.role}</h2>
          <Toggles label={w.role} value={role} choices={roles} set={setRole} />
          <div class="foot"><Btn kind="main" onPress={() => void make()}>{w.make}</Btn></div>
          {status.value.link !== "on" && <p class="note">{w.needs}</p>}
        </>
      )}
      <Devices />
    </>
  );
}

function Code({ got }: { got: Invitation }) {
  const w = t().phone;
  const url = new URL(got.url, location.href).href;
  return (
    <section class="card code">
      <p>{w.scan}</p>
      <Picture text={url} />
      <p>{w.code}</p>
      <p class="typed" data-code={got.code}>{got.code}</p>
      <p class="soft">{w.ten}</p>
      <Btn onPress={() => void copyText(url)}>{w.link}</Btn>
    </section>
  );
}

/** Picture draws the code dark on light in every theme: cameras want it so. */
function Picture({ text }: { text: string }) {
  const { data, size } = encode(text, { border: 3 });
  const d = data.flatMap((row, y) => row.map((on, x) => (on ? `M${x} ${y}h1v1h-1z` : ""))).join("");
  return <svg class="qr" viewBox={`0 0 ${size} ${size}`} role="img" aria-label={t().phone.scan}><rect class="light" width={size} height={size} /><path d={d} /></svg>;
}

function Devices() {
  const w = t().phone;
  const [list, setList] = useState<DeviceLine[]>([]);
  const asked = useRef(0); // answers may overtake each other: the one asked for last counts
  const load = () => {
    const mine = ++asked.current;
    const settle = (d: DeviceLine[]) => { if (mine === asked.current) setList(d.filter((x) => !x.gone)); };
    return job<DeviceLine[]>({ to: "devices" }).then((d) => settle(d ?? []), () => settle([]));
  };
  useEffect(() => { if (status.value.link === "on") void load(); }, [status.value.link]);
  if (!list.length) return null;
  const lockOut = (num: number) => job({ to: "revoke", device: num }).then(load, (e) => { refused.value = troubleText(e); });
  return (
    <Section name={w.who} count={list.length}>
      {list.map((d) => (
        <div key={d.num} class="acts spread">
          <span><b>{d.name}</b> <span class="soft">{[w.roles[d.role] ?? d.role, d.you && w.me].filter(Boolean).join(" · ")}</span></span>
          {head.value?.role === "owner" && !d.you && <Btn kind="bad" label={`${w.revoke}: ${d.name}`} onPress={() => void lockOut(d.num)}>{w.revoke}</Btn>}
        </div>
      ))}
    </Section>
  );
}
