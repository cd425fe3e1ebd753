// The few parts every screen is put together from.
import type { ComponentChildren } from "preact";
import { head, locked } from "../state";
import { back } from "../route";
import { t } from "../words";
import { Swatch } from "./hatch";

type Kids = { children?: ComponentChildren };

interface BtnProps extends Kids {
  onPress: () => void;
  kind?: "main" | "plain" | "quiet" | "bad" | "good";
  label?: string; // in full words, when the button alone does not say what it is about
  off?: boolean;
  pressed?: boolean;
  /** changes the plan: not offered to those who may only look */
  changes?: boolean;
}

export function Btn({ children, onPress, kind = "plain", label, off, pressed, changes }: BtnProps) {
  if (changes && locked.value) return null;
  return (
    <button type="button" class={`btn ${kind}`} aria-label={label} aria-pressed={pressed} disabled={off} onClick={onPress}>
      {children}
    </button>
  );
}

export function Title({ children, line, goBack }: Kids & { line?: string; goBack?: string[] }) {
  return (
    <div class="title">
      {goBack && <BackBtn to={goBack} />}
      <div>
        <h1 tabIndex={-1}>{children}</h1>
        {line && <p class="soft">{line}</p>}
      </div>
    </div>
  );
}

export function BackBtn({ to }: { to: string[] }) {
  return (
    <button type="button" class="backbtn" aria-label={t().back} onClick={() => back(...to)}>
      <svg viewBox="0 0 24 24" aria-hidden="true"><path d="M15 4L7 12l8 8" /></svg>
    </button>
  );
}

export function Section({ name, children, count }: Kids & { name: string; count?: number }) {
  return (
    <section>
      <h2>{name}{count ? <span class="count">{count}</span> : null}</h2>
      {children}
    </section>
  );
}

/** Tag is a small boxed word, as on the ways: "2 calls". */
export const Tag = ({ children, strong }: Kids & { strong?: boolean }) => <span class={strong ? "tag strong" : "tag"}>{children}</span>;

/** Named puts a name on its trade's hatch, as on the block of the strings. */
export function Named({ trade, children, small }: Kids & { trade: string; small?: boolean }) {
  return (
    <span class={small ? "named mini" : "named"}>
      <Swatch trade={trade} />
      <span class="on">{children}</span>
    </span>
  );
}

/** Row is a line that opens something. */
export function Row({ href, name, note, mark }: { href: string; name: string; note?: string; mark?: ComponentChildren }) {
  return (
    <a class="row" href={href}>
      <span class="grow"><b>{name}</b>{note && <span class="soft">{note}</span>}</span>
      {mark}
      <svg class="go" viewBox="0 0 24 24" aria-hidden="true"><path d="M9 4l8 8-8 8" /></svg>
    </a>
  );
}

export const PhoneLink = ({ phone, who }: { phone?: string; who: string }) =>
  phone ? <a class="btn plain" href={`tel:${phone}`} aria-label={t().callWho(who)}>{t().call}</a> : null;

export const ReadOnly = () => (head.value?.readOnly ? <p class="note">{head.value.readOnly}</p> : null);
