import { useEffect, useState } from "preact/hooks";
import type { CantCrew, Change } from "../view";
import { locked, views } from "../state";
import { go, route } from "../route";
import { t } from "../words";
import { findWays, foresee, forgetAhead } from "../ways";
import { Btn, Named, Title } from "../parts/kit";
import { DayKey, Field } from "../parts/fields";

const REST = 150; // ms after the last tap on a day: who taps on does not wait behind a question that is over

/** Who, then which days: two taps and the ways are on their way. */
export function Cant() {
  const v = views.value.cant?.cant;
  const crew = v?.crews.find((c) => c.id === route.value.rest[0]);
  if (crew) return <Days key={crew.id} crew={crew} said={route.value.rest.slice(1, 3)} />;
  return (
    <>
      <Title goBack={["today"]} line={t().cant.lead}>{t().cant.title}</Title>
      <div class="stack">
        {v?.crews.map((c) => (
          <button key={c.id} type="button" class="pick" onClick={() => go("cant", c.id)}>
            <Named trade={c.trade}>{c.name}</Named>
            <span class="soft">{c.next}</span>
          </button>
        ))}
        {v && !v.crews.length && <p class="soft">{t().cant.nobody}</p>}
      </div>
    </>
  );
}

/** nextVisit is the first run of days the crew is booked: most often that is what they cannot make. */
function nextVisit(crew: CantCrew): string[] {
  const from = crew.days.findIndex((d) => crew.booked.includes(d.day));
  if (from < 0) return [];
  const to = crew.days.findIndex((d, i) => i > from && !crew.booked.includes(d.day));
  return crew.days.slice(from, to < 0 ? undefined : to).map((d) => d.day);
}

/** spoken are the days the crew itself said it cannot make: #/cant/CREW/FROM/TO. */
function spoken(crew: CantCrew, [from = "", to = ""]: string[]): string[] {
  return from && to ? crew.days.filter((d) => from <= d.day && d.day <= to).map((d) => d.day) : [];
}

/** flipped keeps the days in one piece, as they are asked about: a tap further off takes those between along, a
 *  tap inside ends the piece before it. */
function flipped(all: string[], picked: string[], day: string): string[] {
  if (!picked.includes(day)) {
    const [first = day, last = day] = [picked[0], picked.at(-1)];
    return all.filter((d) => (day < first ? day : first) <= d && d <= (day > last ? day : last));
  }
  return day === picked[0] ? picked.slice(1) : picked.filter((d) => d < day);
}

function Days({ crew, said }: { crew: CantCrew; said: string[] }) {
  const near = spoken(crew, said);
  const [far = "", until = ""] = near.length ? [] : said; // days beyond the keys: the dates say them
  const [picked, setPicked] = useState(() => (near.length ? near : far ? [] : nextVisit(crew)));
  const [own, setOwn] = useState({ from: far, to: until, why: "" });
  const w = t().cant;
  const flip = (day: string) => {
    setPicked(flipped(crew.days.map((d) => d.day), picked, day));
    setOwn({ ...own, from: "", to: "" }); // the key is the later word
  };
  const from = own.from || picked[0] || "";
  const to = own.to || own.from || picked.at(-1) || "";
  const change: Change = { kind: "away", crew: crew.id, from, to, why: own.why || undefined };
  const find = () => { void findWays(change); go("ways"); };
  // The planner begins while the days are still looked at; the answer waits for the button.
  useEffect(() => {
    if (!from || locked.value) return;
    const soon = setTimeout(() => foresee(change), REST);
    return () => { clearTimeout(soon); forgetAhead(); };
  }, [from, to, own.why]);
  return (
    <>
      <Title goBack={["cant"]} line={crew.next}>{w.days(crew.name)}</Title>
      <div class="days">
        {crew.days.map((d) => (
          <DayKey key={d.day} day={d} on={picked.includes(d.day)} note={crew.booked.includes(d.day) ? w.booked : undefined} press={flip} />
        ))}
      </div>
      <details class="more" open={!!far}>
        <summary>{w.longer}</summary>
        <div class="two">
          <Field label={w.from}><input type="date" value={own.from} onInput={(e) => setOwn({ ...own, from: e.currentTarget.value })} /></Field>
          <Field label={w.to}><input type="date" value={own.to} min={own.from} onInput={(e) => setOwn({ ...own, to: e.currentTarget.value })} /></Field>
        </div>
        <Field label={w.why}><input value={own.why} onInput={(e) => setOwn({ ...own, why: e.currentTarget.value })} /></Field>
      </details>
      <div class="foot">
        <Btn kind="main" changes off={!from} onPress={find}>{from ? w.find : w.pick}</Btn>
      </div>
    </>
  );
}
