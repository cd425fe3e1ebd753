import { useEffect, useRef, useState } from "preact/hooks";
import type { WordingOpen } from "../view";
import { act, carry, locked, penned, show, views } from "../state";
import { back, here, path, route } from "../route";
import { t } from "../words";
import { Btn, ReadOnly, Row, Section, Title } from "../parts/kit";
import { Field, Ticked } from "../parts/fields";

/** The wording of every kind of text, in every language; #/words/tomorrow.es opens one. */
export function Wordings() {
  const v = views.value.words?.words;
  const w = t().wordings;
  const id = route.value.rest[0] ?? "";
  if (!v || (id && v.open?.id !== id)) return <Title goBack={id ? ["words"] : ["more"]}>{w.title}</Title>;
  if (v.open && id) return <Editor key={id} o={v.open} />;
  const languages = [...new Set(v.lines.map((l) => l.language))];
  return (
    <>
      <Title goBack={["more"]}>{w.title}</Title>
      <ReadOnly />
      <p>{w.lead}</p>
      {!locked.value && <Ticked label={w.plain} on={v.plain} set={(on) => act({ do: "edit", kind: "site", id: "site", fields: { plain: on } })} />}
      <p class="soft">{w.plainNote}</p>
      {languages.map((language) => (
        <Section key={language} name={language}>
          <div class="stack">
            {v.lines.filter((l) => l.language === language).map((l) => (
              <Row key={l.id} href={path("words", l.id)} name={l.name} note={l.preview} mark={l.own ? <span class="tag">{w.own}</span> : null} />
            ))}
          </div>
        </Section>
      ))}
    </>
  );
}

function Editor({ o }: { o: WordingOpen }) {
  const w = t().wordings;
  const [typed, setDraft] = useState<string>(); // until somebody writes, it is what the planner says: the last look may be old
  const draft = typed ?? o.text;
  const area = useRef<HTMLTextAreaElement>(null);
  useEffect(() => { // the preview follows the pen, a little behind
    if (typed === undefined) return;
    penned.value = { id: o.id, text: typed };
    const timer = setTimeout(() => void show(), 250);
    return () => clearTimeout(timer);
  }, [typed]);
  useEffect(() => () => { penned.value = undefined; }, []);
  const put = (word: string) => {
    const at = area.current?.selectionStart ?? draft.length;
    setDraft(draft.slice(0, at) + word + draft.slice(area.current?.selectionEnd ?? at));
    area.current?.focus();
  };
  const save = async () => {
    const still = here();
    if (await act({ do: "wording", id: o.id, said: draft, draft }) && still()) { carry(); back("words"); }
  };
  const reset = async () => { if (await act({ do: "wording", id: o.id, key: "reset", draft: undefined })) setDraft(o.standard); };
  return (
    <>
      <Title goBack={["words"]} line={o.language}>{o.name}</Title>
      <ReadOnly />
      <Field label={w.text}><textarea ref={area} rows={9} lang={o.lang} value={draft} onInput={(e) => setDraft(e.currentTarget.value)} /></Field>
      {o.wrong && <p class="rust" role="alert"><b>{o.wrong}</b></p>}
      <details class="more">
        <summary>{w.blanks}</summary>
        <div class="stack">
          {o.blanks.map((b) => <Btn key={b.word} label={`${b.word}: ${b.note}`} onPress={() => put(b.word)}><b>{b.word}</b> <span class="soft">{b.note}</span></Btn>)}
        </div>
      </details>
      <Section name={w.preview}>
        <p class="body card" lang={o.lang} data-preview>{o.example}</p>
        <p class="soft" data-length>{o.length}</p>
        {o.yours && <details><summary>{w.yours}</summary><p class="body">{o.yours}</p></details>}
      </Section>
      <div class="foot acts">
        {(o.own || draft !== o.standard) && <Btn changes onPress={() => (o.own ? void reset() : setDraft(o.standard))}>{w.reset}</Btn>}
        <Btn kind="main" changes off={!!o.wrong} onPress={() => void save()}>{t().save}</Btn>
      </div>
    </>
  );
}
