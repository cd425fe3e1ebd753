import { signal } from "@preact/signals";
import { useState } from "preact/hooks";
import { job } from "../bridge";
import { read, refused, troubleText, write } from "../state";
import { here, route, swap } from "../route";
import { t } from "../words";
import { Btn, Title } from "../parts/kit";
import { Field } from "../parts/fields";
import { Plain } from "../parts/plain";

/** recovery outlives the screen: the site opens meanwhile, and draws everything anew. */
const recovery = signal("");

/** Join takes a code, from the address (#/pair/CODE, as the picture has it) or typed. */
export function Join() {
  const w = t().join;
  const [code, setCode] = useState(route.value.rest[0] ?? "");
  const [name, setName] = useState(read("bb.name"));
  const [working, setWorking] = useState(false);
  const ready = code.trim() && name.trim() && !working;
  const join = async () => {
    setWorking(true);
    const still = here();
    write("bb.name", name.trim());
    try {
      const next = await job<string>({ to: "pair", code: code.trim(), name: name.trim() });
      if (next) recovery.value = next;
      else if (still()) swap("today");
    } catch (e) {
      refused.value = troubleText(e);
    } finally {
      setWorking(false);
    }
  };
  if (recovery.value) return <Recovery code={recovery.value} />;
  return (
    <>
      <Title goBack={["sites"]} line={w.lead}>{w.title}</Title>
      <form onSubmit={(e) => { e.preventDefault(); if (ready) void join(); }}>
        <Field label={w.code}><input class="typed" autocomplete="off" autocapitalize="characters" spellcheck={false} value={code} onInput={(e) => setCode(e.currentTarget.value)} /></Field>
        <Field label={w.name}><input autocomplete="name" value={name} onInput={(e) => setName(e.currentTarget.value)} /></Field>
        <Plain />
        <div class="foot"><Btn kind="main" off={!ready} onPress={() => void join()}>{w.go}</Btn></div>
      </form>
    </>
  );
}

/** Recovery shows the next recovery code, the only time it can be shown. */
function Recovery({ code }: { code: string }) {
  const w = t().recovery;
  return (
    <>
      <Title line={w.lead}>{w.title}</Title>
      <section class="card code"><p class="typed" data-recovery={code}>{code}</p></section>
      <p>{w.keep}</p>
      <div class="foot"><Btn kind="main" onPress={() => { recovery.value = ""; swap("today"); }}>{w.done}</Btn></div>
    </>
  );
}
