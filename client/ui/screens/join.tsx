import { signal } from "@preact/signals";
import { useState } from "preact/hooks";
import { job } from "../bridge";
import { codeOf, misread } from "../code";
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
  const handed = route.value.rest[0] ?? "";
  return recovery.value ? <Recovery code={recovery.value} /> : <Ask key={handed} handed={handed} />;
}

function Ask({ handed }: { handed: string }) {
  const w = t().join;
  const [code, setCode] = useState(handed);
  const [name, setName] = useState(read("bb.name"));
  const [working, setWorking] = useState(false);
  const ready = codeOf(code) && name.trim() && !working;
  const join = async () => {
    if (misread(codeOf(code))) { refused.value = w.misread; return; }
    setWorking(true);
    const still = here();
    write("bb.name", name.trim());
    try {
      const next = await job<string>({ to: "pair", code: codeOf(code), name: name.trim() });
      if (next) recovery.value = next;
      else if (still()) swap("today");
    } catch (e) {
      refused.value = troubleText(e);
    } finally {
      setWorking(false);
    }
  };
  return (
    <>
      <Title goBack={["sites"]} line={w.lead}>{w.title}</Title>
      <form onSubmit={(e) => { e.preventDefault(); if (ready) void join(); }}>
        <Field label={w.code}><input class="typed" autocomplete="off" autocapitalize="characters" spellcheck={false} value={code} onInput={(e) => setCode(e.currentTarget.value)} /></Field>
        <Field label={w.name}><input autocomplete="name" maxLength={40} value={name} onInput={(e) => setName(e.currentTarget.value)} /></Field>
        <Plain />
        {working && <p class="soft" role="status">{w.asking}</p>}
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
