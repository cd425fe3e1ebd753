// What stands around every screen: what is saved where, the undo, the bottom bar, what was just said.
import { useEffect, useRef } from "preact/hooks";
import type { ComponentChildren } from "preact";
import { status, job } from "../bridge";
import { busy, coming, head, locked, recalled, refused, said, slow, undo } from "../state";
import { path, route } from "../route";
import { newVersion, useNewVersion } from "../updates";
import { t } from "../words";
import { Btn } from "./kit";

const TABS = ["today", "strings", "holds", "texts", "more"] as const;
type Tab = (typeof TABS)[number];
const HOME: Record<string, Tab> = { cant: "today", changed: "today", ways: "today", block: "strings", holds: "holds", texts: "texts", strings: "strings", today: "today" };
const tabOf = (screen: string): Tab => HOME[screen] ?? "more";

/** Strip says at any time where the work is safe, and offers the way back. */
export function Strip() {
  const s = status.value;
  const h = head.value;
  const unsent = h?.unsent ?? 0;
  return (
    <header class="strip" data-unsent={unsent} data-wire={s.link === "on" ? "on" : "off"} data-coming={h?.coming ? "yes" : "no"}>
      <p class="saved" role="status">
        <span class={s.link === "on" && !unsent ? "dot on" : "dot"} aria-hidden="true" />
        <span>{savedLine(unsent)}</span>
      </p>
      {h?.undo && !locked.value && !recalled.value && (
        <button type="button" class="undo" aria-label={t().undoWhat(h.undo)} onClick={() => void undo()}>
          <svg viewBox="0 0 24 24" aria-hidden="true"><path d="M8 5L3 10l5 5M3 10h11a6 6 0 0 1 0 12h-3" /></svg>{t().undo}
        </button>
      )}
    </header>
  );
}

function savedLine(unsent: number): string {
  const k = t().kept;
  const s = status.value;
  const and = (line: string) => (unsent ? `${line} · ${k.unsent(unsent)}` : line);
  if (s.phase !== "open") return recalled.value ? k.recalled : k.starting;
  if (recalled.value) return k.recalled;
  if (s.full) return and(k.full);
  if (slow.value) return and(k.working);
  if (s.known === "revoked") return and(k.revoked);
  if (unsent) return s.held ? `${and(k.phone)}. ${k.held}` : and(k.phone);
  return s.link === "on" ? k.server : k.phone;
}

export function Bar() {
  const here = tabOf(route.value.screen);
  const h = head.value;
  const count: Partial<Record<Tab, number>> = { texts: h?.textsDue, more: (h?.unread ?? 0) + (h?.rejected ?? 0) };
  return (
    <nav class="bar">
      {TABS.map((tab) => (
        <a key={tab} href={path(tab)} aria-current={tab === here ? "page" : undefined}>
          {t().tabs[tab]}
          {count[tab] ? <span class="badge">{count[tab]}</span> : null}
        </a>
      ))}
    </nav>
  );
}

/** Spoken is the line about what was just done, with the undo beside it. */
export function Spoken() {
  const s = said.value;
  return (
    <div class="spoken" role="status">
      {s && (
        <div class="slip">
          <p>{s.text}</p>
          {s.undo && <Btn kind="quiet" onPress={() => void undo()}>{t().undo}</Btn>}
        </div>
      )}
    </div>
  );
}

/** Refused stays until it was read: what happened, what is safe, what to do next. */
export function Refused() {
  const box = useRef<HTMLDialogElement>(null);
  const text = refused.value;
  useEffect(() => { if (text && !box.current?.open) box.current?.showModal(); }, [text]);
  if (!text) return null;
  const close = () => { box.current?.close(); refused.value = ""; };
  return (
    <dialog ref={box} class="refused" aria-labelledby="refused-text" onClose={(e) => { if (e.currentTarget === box.current) refused.value = ""; }}>
      <p id="refused-text">{text}</p>
      <Btn kind="main" onPress={close}>{t().ok}</Btn>
    </dialog>
  );
}

export function Update() {
  if (!newVersion.value) return null;
  return (
    <div class="update" role="status">
      <p>{t().updates.ready}</p>
      <Btn kind="main" onPress={useNewVersion}>{t().updates.use}</Btn>
      <Btn onPress={() => { newVersion.value = undefined; }}>{t().updates.later}</Btn>
    </div>
  );
}

export function Elsewhere() {
  return (
    <main class="page" data-screen="elsewhere">
      <h1>{t().elsewhere.title}</h1>
      <p>{t().trouble.elsewhere}</p>
      <Btn kind="main" onPress={() => void job({ to: "useHere" })}>{t().elsewhere.use}</Btn>
    </main>
  );
}

export function Broken() {
  const why = status.value.why;
  return (
    <main class="page" data-screen="broken">
      <h1>{t().broken.title}</h1>
      <p>{why && why.code !== "said" ? t().trouble[why.code] : why?.text}</p>
      {why?.code === "stumbled" && why.text && <p class="soft">{why.text}</p>}
      <Btn kind="main" onPress={() => location.reload()}>{t().broken.again}</Btn>
    </main>
  );
}

/** Page is the part between strip and bar; a new screen is announced by moving the focus to its title. */
export function Page({ screen, children, wide }: { screen: string; children: ComponentChildren; wide?: boolean }) {
  const main = useRef<HTMLElement>(null);
  const first = useRef(true);
  useEffect(() => {
    if (first.current) { first.current = false; return; }
    main.current?.scrollTo(0, 0);
    main.current?.querySelector("h1")?.focus({ preventScroll: true });
  }, [screen]);
  return (
    <main ref={main} class={wide ? "page wide" : "page"} data-screen={screen} data-busy={busy.value > 0 ? "yes" : "no"} data-fresh={recalled.value || coming.value ? "no" : "yes"}>{children}</main>
  );
}
