// Photos: a strip of small ones, and the button that takes one. One of them large, and the papers beside them, are
// code of their own (papers.tsx) that comes when it is wanted; so does what makes a picture smaller.
import { signal } from "@preact/signals";
import { useEffect, useState } from "preact/hooks";
import type { FunctionComponent } from "preact";
import type { PaperLine, PhotoLine } from "../view";
import { job, pictures, status, TroubleError } from "../bridge";
import { locked, refused, said, takePhoto, troubleText } from "../state";
import type { Taken } from "../camera";
import { t } from "../words";
import { Check } from "./fields";

/** urls are the pictures this screen has fetched from the worker, by the name of their file. */
const urls = signal<Record<string, string>>({});
const asked = new Set<string>();
const HELD = 80;

async function fetchBytes(file: string): Promise<void> {
  if (asked.has(file)) return;
  asked.add(file);
  try {
    const bytes = await job<ArrayBuffer>({ to: "picture", file });
    const all = Object.entries(urls.value);
    for (const [old, url] of all.splice(0, all.length - HELD)) { URL.revokeObjectURL(url); asked.delete(old); }
    urls.value = { ...Object.fromEntries(all), [file]: URL.createObjectURL(new Blob([bytes], { type: "image/jpeg" })) };
  } catch {
    asked.delete(file); // not here yet, and no signal: the next look asks again
    urls.value = { ...urls.value };
  }
}

/** Bytes draws a picture once it is there; until then its small copy, or a blank of the same shape. */
export function Bytes({ p, large }: { p: PhotoLine; large?: boolean }) {
  const wish = large ? p.file : p.small || p.file;
  useEffect(() => { void fetchBytes(wish); }, [wish, status.value.link, pictures.value]);
  const src = urls.value[wish] ?? urls.value[p.small];
  return src
    ? <img src={src} alt={p.say} width={p.wide || undefined} height={p.high || undefined} data-large={large && urls.value[p.file] ? "yes" : undefined} />
    : <span class="blank" role="img" aria-label={p.say}>{t().photos.coming}</span>;
}

interface Papers {
  List: FunctionComponent<{ on: string; list: PaperLine[] }>;
  Add: FunctionComponent<{ on: string }>;
  Large: FunctionComponent<{ p: PhotoLine; close: () => void }>;
}
const brought = signal<Papers | undefined>(undefined);
const bring = () => void import("./papers").then((m) => { brought.value = m; }, () => undefined); // no signal, first visit: the next look asks again

/** all: one may add papers here too, and say what is kept of a photo. */
export function Pictures({ on, list, papers = [], add = true, all }: { on: string; list: PhotoLine[]; papers?: PaperLine[]; add?: boolean; all?: boolean }) {
  const [open, setOpen] = useState("");
  const [keep, setKeep] = useState(false); // never remembered: it is wanted for a photo, not for good
  const Papers = brought.value;
  const wants = all || papers.length > 0 || open !== "";
  useEffect(() => { if (wants && !Papers) bring(); }, [wants, Papers, status.value.link]);
  const shown = list.find((p) => p.id === open);
  return (
    <div class="pictures">
      {list.length > 0 && (
        <ul class="strip-of" data-count={list.length}>
          {list.map((p) => (
            <li key={p.id}><button type="button" onClick={() => setOpen(p.id)}><Bytes p={p} /></button></li>
          ))}
        </ul>
      )}
      {Papers && papers.length > 0 && <Papers.List on={on} list={papers} />}
      {!locked.value && (add || all) && (
        <div class="adds">
          {add && <Take on={on} keep={keep} taken={() => setKeep(false)} />}
          {all && Papers && <Papers.Add on={on} />}
        </div>
      )}
      {!locked.value && add && all && <Check label={t().photos.keep} on={keep} set={setKeep} />}
      {shown && Papers && <Papers.Large p={shown} close={() => setOpen("")} />}
    </div>
  );
}

/** takenOf reads what the camera wrote; its code comes only for those who want that kept. */
const takenOf = (file: Blob): Promise<Taken | undefined> => import("../camera").then((m) => m.taken(file)).catch(() => undefined);

/** Take is a button that opens the phone's camera or its pictures. keep: where they were taken is wanted. */
function Take({ on, keep, taken: over }: { on: string; keep: boolean; taken: () => void }) {
  const [busy, setBusy] = useState(false);
  const w = t().photos;
  const take = async (input: HTMLInputElement) => {
    setBusy(true);
    for (const file of Array.from(input.files ?? [])) {
      const made = await import("../shrink").then((m) => m.shrink(file)).catch(() => undefined);
      if (!made) { refused.value = w.unreadable; break; }
      const taken = keep ? await takenOf(file) : undefined;
      if (!(await takePhoto(on, made, taken))) break;
      if (keep && taken?.latitude === undefined) said.value = { text: w.noPlace };
    }
    input.value = "";
    setBusy(false);
    over();
  };
  return (
    <label class={busy ? "btn plain take busy" : "btn plain take"}>
      <svg viewBox="0 0 24 24" aria-hidden="true"><path d="M3 8h4l2-3h6l2 3h4v11H3z" /><circle cx="12" cy="13" r="4" /></svg>
      {busy ? w.keeping : w.take}
      <input type="file" accept="image/*" multiple disabled={busy} onChange={(e) => void take(e.currentTarget)} />
    </label>
  );
}

/** Waiting says how many files of this phone are not on the server yet, and which of them it does not want. */
export function Waiting() {
  const { pictures: n, untaken } = status.value;
  const w = t().photos;
  return (
    <>
      {n > 0 && <p class="soft" role="status">{w.waiting(n)}</p>}
      {untaken && <p class="note" role="status">{w.untaken(untaken.n)} {troubleText(new TroubleError(untaken.why))}</p>}
    </>
  );
}
