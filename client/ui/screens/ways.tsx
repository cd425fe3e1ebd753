import { useEffect } from "preact/hooks";
import type { WayCard, WayRow } from "../view";
import { act, carry } from "../state";
import { swap } from "../route";
import { t } from "../words";
import { closeWays, found, keepLooking, question, showFound, shownWays, stopLooking } from "../ways";
import { Btn, PhoneLink, Tag, Title } from "../parts/kit";

export function Ways() {
  const v = shownWays.value;
  const w = t().ways;
  // Whoever leaves the screen wants the phone for something else; back here the search goes on.
  useEffect(() => {
    if (shownWays.value?.more) void keepLooking();
    return stopLooking;
  }, []);
  if (!question.value) return <><Title goBack={["changed"]}>{w.title}</Title><p class="soft">{w.none}</p></>;
  if (!v) return <Title goBack={["today"]} line={w.looking}>{w.title}</Title>;
  const extra = found.value?.cards.filter((c) => !v.cards.some((old) => old.key === c.key)).length ?? 0;
  return (
    <>
      <Title goBack={["today"]}>{v.title}</Title>
      <p class="proof soft" role="status">{v.more ? w.still : v.proof}</p>
      {extra > 0 && <Btn kind="plain" onPress={showFound}>{w.better(extra)}: {w.showBetter}</Btn>}
      {v.cards.map((c) => <Card key={c.key} card={c} token={v.token} />)}
      <div class="foot"><Btn kind="quiet" onPress={() => { closeWays(); swap("today"); }}>{w.leave}</Btn></div>
    </>
  );
}

function Card({ card, token }: { card: WayCard; token: string }) {
  const w = t().ways;
  const take = async () => {
    stopLooking();
    if (await act({ do: "take", token, key: card.key, screen: "today", for: undefined })) { closeWays(); carry(); swap("today"); }
  };
  const calls = card.rows.filter((r) => r.call);
  const others = card.rows.filter((r) => !r.call);
  return (
    <article class={card.best ? "card way best" : "card way"} data-way={card.key}>
      <h2 class="name">{card.name}</h2>
      <p class="tags">
        <Tag strong={card.best}>{card.finish}</Tag>
        <Tag>{card.calls}</Tag>
        {card.extra && <Tag>{card.extra}</Tag>}
        {card.cost && <Tag>{card.cost}</Tag>}
      </p>
      <ul class="moves">{calls.map((r, i) => <Move key={r.id + r.when} row={r} phone={calls.findIndex((o) => o.phone === r.phone) === i} />)}</ul>
      {others.length > 0 && (
        <details>
          <summary>{w.quiet(others.length)}</summary>
          <ul class="moves">{others.map((r) => <Move key={r.id + r.when} row={r} />)}</ul>
        </details>
      )}
      {card.proof && <p class="soft">{card.proof}</p>}
      <Btn kind={card.best ? "main" : "plain"} changes label={w.takeNamed(card.name)} onPress={() => void take()}>{w.take}</Btn>
    </article>
  );
}

/** A name above this many letters has a line to itself: beside the days it would break within words. */
const LONG = 14;

/** Move is one line of a way; a crew that hears of two moves has one button to be called. */
const Move = ({ row, phone }: { row: WayRow; phone?: boolean }) => (
  <li class={`move${row.call ? " call" : ""}${row.who.length > LONG ? " long" : ""}`}>
    <b>{row.who}</b>
    <span>{row.when}{row.what && <span class="soft"> · {row.what}</span>}</span>
    {phone && <PhoneLink phone={row.phone} who={row.who} />}
  </li>
);
