// Screens that are seldom opened are files of their own: the first paint does not wait for them. The
// service worker keeps them with the rest, so they open without network too.
import { signal } from "@preact/signals";
import type { JSX } from "preact";
import { useLayoutEffect } from "preact/hooks";
import { busy } from "./state";
import { t } from "./words";
import { Btn, Title } from "./parts/kit";

type Screen = () => JSX.Element | null;

/** What to ask for as soon as there is a site to look at. */
const soon: (() => void)[] = [];

/** fetchSoon asks for the screens that are one tap from the first. */
export const fetchSoon = () => soon.splice(0).forEach((ask) => ask());

/** later is a screen whose code comes when it is first looked at; near ones come when the first screen is there. */
export function later(load: () => Promise<Screen>, near = false): Screen {
  const got = signal<Screen | undefined>(undefined);
  const failed = signal(false);
  let asked = false;
  const ask = () => {
    asked = true;
    failed.value = false;
    busy.value++;
    load().then((screen) => { got.value = screen; }, () => { asked = false; failed.value = true; }).finally(() => { busy.value--; });
  };
  if (near) soon.push(() => { if (!asked) ask(); });
  return function Later() {
    const Screen = got.value;
    useLayoutEffect(() => { if (!asked) ask(); }, []); // also where it was asked for ahead, and did not come
    if (Screen) return <Screen />;
    return failed.value
      ? <><Title goBack={["more"]}>{t().more.title}</Title><p class="note">{t().trouble.offline}</p><Btn onPress={ask}>{t().broken.again}</Btn></>
      : <Title goBack={["more"]}>{t().more.title}</Title>;
  };
}
