// Papers: a list of them, the button that adds one, and one of them opened; and one photo large. A file of its own, see photos.tsx.
import { useEffect, useRef, useState } from "preact/hooks";
import type { PaperLine, PhotoLine } from "../view";
import { job, paper, pictures, status } from "../bridge";
import { act, handOver, locked, refused } from "../state";
import { ENDINGS, typeOf, type Kept } from "../filetype";
import { paperOf } from "../papers";
import { lang, t } from "../words";
import { papersEn, papersEs } from "../words/papers";
import { Btn } from "./kit";
import { Field, Ticked } from "./fields";
import { Bytes } from "./photos";

const words = () => (lang.value === "es" ? papersEs : papersEn);

export function List({ on, list }: { on: string; list: PaperLine[] }) {
  const [open, setOpen] = useState("");
  const shown = list.find((p) => p.id === open);
  return (
    <>
      <ul class="papers" aria-label={words().list}>
        {list.map((p) => (
          <li key={p.id}>
            <button type="button" class="row" data-paper={p.file} onClick={() => setOpen(p.id)}>
              <svg class="sheet" viewBox="0 0 24 24" aria-hidden="true"><path d="M6 2h9l4 4v16H6z M14 2v5h5 M9 12h7 M9 16h7" /></svg>
              <span class="grow"><b>{p.title}</b><span class="soft">{[p.note, p.when, !on && p.name].filter(Boolean).join(" · ")}</span></span>
            </button>
          </li>
        ))}
      </ul>
      {shown && <Opened p={shown} close={() => setOpen("")} />}
    </>
  );
}

/** Add is a button that opens the phone's files. */
export function Add({ on }: { on: string }) {
  const [busy, setBusy] = useState(false);
  const w = words();
  const take = async (input: HTMLInputElement) => {
    setBusy(true);
    for (const file of Array.from(input.files ?? [])) {
      const made = await paperOf(file);
      if (typeof made === "string") { refused.value = `${file.name}: ${w.why[made]}`; break; }
      if (!(await handOver((req) => paper(on, file.name, made, { ...req, do: "paper" })))) break;
    }
    input.value = "";
    setBusy(false);
  };
  return (
    <label class={busy ? "btn plain take busy" : "btn plain take"}>
      <svg viewBox="0 0 24 24" aria-hidden="true"><path d="M6 2h9l4 4v16H6z M14 2v5h5 M12.5 10v8 M8.5 14h8" /></svg>
      {busy ? w.adding : w.add}
      <input type="file" accept="application/pdf,.pdf,image/*,text/plain,.txt" multiple disabled={busy} onChange={(e) => void take(e.currentTarget)} />
    </label>
  );
}

/** gone means: not on this phone, and no signal. changed: not what the list says, nor anything that is kept. */
type Got = { file: File; url: string; type: Kept } | "gone" | "changed" | undefined;

/** got is the file of a paper, named for whoever opens it; its type is what its bytes are. */
async function got(p: PaperLine): Promise<Got> {
  const bytes = await job<ArrayBuffer>({ to: "picture", file: p.file }).catch(() => undefined);
  if (!bytes) return "gone";
  const type = typeOf(new Uint8Array(bytes));
  if (!(type in ENDINGS)) return "changed";
  const kept = type as Kept;
  const file = new File([bytes], `${p.title}.${ENDINGS[kept]}`, { type: kept });
  return { file, url: URL.createObjectURL(file), type: kept };
}

/** Opened is one paper with what belongs to it. It is opened by what the phone has for it, not by us. */
function Opened({ p, close }: { p: PaperLine; close: () => void }) {
  const w = words();
  const box = useRef<HTMLDialogElement>(null);
  const [name, setName] = useState(p.title);
  const [have, setHave] = useState<Got>();
  const [saved, setSaved] = useState(false);
  useEffect(() => {
    if (box.current?.open) return;
    box.current?.showModal();
    box.current?.focus(); // not the first field: the keyboard would hide the rest
  }, []);
  useEffect(() => {
    if (have && have !== "gone") return;
    let over = false;
    void got(p).then((g) => { if (!over) setHave(g); });
    return () => { over = true; };
  }, [p.file, status.value.link, pictures.value]);
  useEffect(() => () => { if (have && typeof have === "object") setTimeout(() => URL.revokeObjectURL(have.url), 60_000); }, [have]);
  const here = typeof have === "object" ? have : undefined;
  const edit = (fields: Record<string, unknown>) => act({ do: "edit", kind: "paper", id: p.id, fields: fields as never });
  const remove = async () => { if (await act({ do: "remove", kind: "paper", id: p.id })) close(); };
  const send = () => void navigator.share({ files: [here!.file], title: p.title }).catch(() => undefined); // changed their mind
  return (
    <dialog ref={box} class="large" tabIndex={-1} aria-label={p.title} onClose={close}>
      <h2>{p.title}</h2>
      {here?.type.startsWith("image/") && <div class="frame"><img src={here.url} alt={p.title} /></div>}
      <p class="soft">{[p.note, p.when, p.by].filter(Boolean).join(" · ")}</p>
      <p class="soft">{p.name ? w.about(p.name) : w.wholeSite}</p>
      {!here && <p class="note" role="status">{have === "gone" ? w.coming : have === "changed" ? w.changed : w.getting}</p>}
      {here && (
        <div class="acts">
          <a class="btn main" href={here.url} download={here.file.name} onClick={() => setSaved(true)}>{w.open}</a>
          {navigator.canShare?.({ files: [here.file] }) && <Btn onPress={send}>{w.share}</Btn>}
        </div>
      )}
      {saved && here && <p class="note" role="status">{w.opened(here.file.name)}</p>}
      {!locked.value && (
        <>
          <Field label={w.name}><input value={name} maxLength={120} onInput={(e) => setName(e.currentTarget.value)} /></Field>
          {name.trim() && name.trim() !== p.title && <Btn onPress={() => void edit({ name: name.trim().replace(/[\\/]/g, "-") })}>{t().save}</Btn>}
          <Ticked label={w.crews} on={p.share} set={(share) => edit({ share })} />
        </>
      )}
      <div class="foot acts">
        <Btn kind="bad" changes onPress={() => void remove()}>{t().remove}</Btn>
        <Btn kind="plain" onPress={close}>{t().photos.close}</Btn>
      </div>
    </dialog>
  );
}

/** Large is one photo over the screen, with what belongs to it. */
export function Large({ p, close }: { p: PhotoLine; close: () => void }) {
  const w = t().photos;
  const box = useRef<HTMLDialogElement>(null);
  const [line, setLine] = useState(p.said);
  useEffect(() => {
    if (box.current?.open) return;
    box.current?.showModal();
    box.current?.focus(); // not the first field: a picture is looked at, and the keyboard would hide it
  }, []);
  const edit = (fields: Record<string, unknown>) => act({ do: "edit", kind: "photo", id: p.id, fields: fields as never });
  const remove = async () => { if (await act({ do: "remove", kind: "photo", id: p.id })) close(); };
  return (
    <dialog ref={box} class="large" tabIndex={-1} aria-label={p.say} onClose={close}>
      <div class="frame"><Bytes p={p} large /></div>
      <p class="soft">{[p.name, p.when, p.by].filter(Boolean).join(" · ")}</p>
      {p.taken && <p class="soft">{w.taken(p.taken)}</p>}
      {p.geo && <a class="btn quiet" href={p.geo}>{w.place(p.place!)}</a>}
      {locked.value ? p.said && <p>{p.said}</p> : (
        <>
          <Field label={w.line}><input value={line} onInput={(e) => setLine(e.currentTarget.value)} /></Field>
          {line.trim() !== p.said && <Btn onPress={() => void edit({ said: line.trim() })}>{t().save}</Btn>}
          <Ticked label={w.share} on={p.share} set={(share) => edit({ share })} />
        </>
      )}
      <div class="foot acts">
        <Btn kind="bad" changes onPress={() => void remove()}>{t().remove}</Btn>
        <Btn kind="main" onPress={close}>{w.close}</Btn>
      </div>
    </dialog>
  );
}
