import { useEffect, useRef, useState } from "preact/hooks";
import type { ReachView, WayCard, WayRow } from "../view";
import { act, carry } from "../state";
import { here, swap } from "../route";
import { t } from "../words";
import { beaten, closeWays, enough, keepLooking, question, resting, see, shownWays, stopLooking } from "../ways";
import { Btn, Tag, Title } from "../parts/kit";

export function Ways() {
  const v = shownWays.value;
  const w = t().ways;
  // Whoever leaves the screen wants the phone for something else; back here the search goes on.
  useEffect(() => {
    if (shownWays.value?.more) void keepLooking();
    return stopLooking;
  }, []);
  if (!question.value) return <><Title goBack={["today"]}>{w.title}</Title><p class="soft">{w.none}</p></>;
  if (!v) return <Title goBack={["today"]} line={w.looking}>{w.title}</Title>;
  return (
    <>
      <Title goBack={["today"]}>{v.title}</Title>
      <div class="proof-line">
        <p class={v.reach ? "proof lead" : "proof soft"} role="status" data-more={v.more ? "yes" : "no"}>{v.more && resting.value ? w.rested : v.more && !v.reach ? w.still : v.proof}</p>
        {v.more && (resting.value
          ? <Btn kind="quiet" onPress={() => void keepLooking()}>{w.lookOn}</Btn>
          : <Btn kind="quiet" onPress={enough}>{w.enough}</Btn>)}
      </div>
      {v.reach && v.reach.lines.length > 0 && <Reach r={v.reach} />}
      {v.cards.map((c) => <Card key={c.key} card={c} token={v.token} />)}
      <div class="foot"><Btn kind="quiet" onPress={() => { closeWays(); swap("today"); }}>{w.leave}</Btn></div>
    </>
  );
}

/** Reach says whether the day can be reached, and when not, the chain that forbids it. */
const Reach = ({ r }: { r: ReachView }) => (
  <div class={r.reached ? "note promise" : "note"}>
    {r.lines.map((x) => <p key={x}>{x}</p>)}
    {r.why.length > 0 && <ol class="chain">{r.why.map((x) => <li key={x}>{x}</li>)}</ol>}
    {r.change && <p>{r.change}</p>}
  </div>
);

function Card({ card, token }: { card: WayCard; token: string }) {
  const w = t().ways;
  const box = useRef<HTMLElement>(null);
  const [open, setOpen] = useState(false); // twenty lines a card are drawn when somebody asks for them
  // A card once on the screen keeps its place, so that no thumb lands on another one.
  useEffect(() => {
    const watch = new IntersectionObserver((all) => { if (all.some((x) => x.isIntersecting)) { see(card.key); watch.disconnect(); } });
    watch.observe(box.current!);
    return () => watch.disconnect();
  }, [card.key]);
  const old = beaten.value.has(card.key);
  const take = async () => {
    stopLooking();
    const still = here();
    if (!(await act({ do: "take", token, key: card.key, screen: "today", for: undefined }))) return;
    if (shownWays.value?.token === token) closeWays();
    if (still()) { carry(); swap("today"); }
  };
  const calls = card.rows.filter((r) => r.call);
  const others = card.rows.filter((r) => !r.call);
  return (
    <article ref={box} class={card.best ? "card way best" : old ? "card way old" : "card way"} data-way={card.key}>
      <h2 class="name">{card.name}</h2>
      <p class="tags">
        <Tag strong={card.best}>{card.finish}</Tag>
        <Tag>{card.calls}</Tag>
        {card.extra && <Tag>{card.extra}</Tag>}
        {card.cost && <Tag>{card.cost}</Tag>}
      </p>
      <Moves rows={calls} call />
      {others.length > 0 && (
        <details onToggle={(e) => setOpen(e.currentTarget.open)}>
          <summary>{w.quiet(others.length)}</summary>
          {open && <Moves rows={others} />}
        </details>
      )}
      {(old || card.proof) && <p class="soft proved">{old ? w.beaten : card.proof}</p>}
      <Btn kind={card.best ? "main" : "plain"} changes label={w.takeNamed(card.name)} onPress={() => void take()}>{w.take}</Btn>
    </article>
  );
}


/** byWhom puts the rows that follow each other for one crew together: one call tells them all. */
const byWhom = (rows: WayRow[]) =>
  rows.reduce<WayRow[][]>((all, r) => (all.at(-1)?.[0]?.who === r.who ? [...all.slice(0, -1), [...all.at(-1)!, r]] : [...all, [r]]), []);

/** whole keeps a day and its number on one line. */
const whole = (days: string) => days.replace(/ (?=\d)/g, "\u00a0");

/** Moves says who moves to when; the name of who must hear is the way to call them. */
const Moves = ({ rows, call }: { rows: WayRow[]; call?: boolean }) => (
  <ul class="moves">
    {byWhom(rows).map((of) => (
      <li key={of[0]!.id + of[0]!.when} class={call ? "move call" : "move"}>
        <Who row={of[0]!} call={call} />
        <div>{of.map((r) => <p key={r.id + r.when}>{whole(r.when)} <span class="soft">{[whole(r.from), r.what].filter(Boolean).join(" · ")}</span></p>)}</div>
      </li>
    ))}
  </ul>
);

const Who = ({ row, call }: { row: WayRow; call?: boolean }) =>
  call && row.phone ? (
    <a class="who" href={`tel:${row.phone}`} aria-label={t().callWho(row.who)}>
      <b>{row.who}</b><svg viewBox="0 0 24 24" aria-hidden="true"><path d="M4 5c0 9 6 15 15 15v-5l-5-1-2 2c-2-1-4-3-5-5l2-2-1-5z" /></svg>
    </a>
  ) : <b class="who">{row.who}</b>;
