import { useState } from "preact/hooks";
import type { TextCard, TextsView } from "../view";
import { head, locked, read, views, write } from "../state";
import { go, path, route, swap } from "../route";
import { t } from "../words";
import { Btn, ReadOnly, Row, Section, Title } from "../parts/kit";
import { Bell } from "../parts/bell";
import { Body, Card, Head, OtherWays, Out, send } from "../parts/textcard";

export function Texts() {
  const v = views.value.texts?.texts;
  const w = t().texts;
  if (!v) return <Title>{w.title}</Title>;
  if (route.value.rest[0] === "row") return <InARow v={v} />;
  const groups = groupsOf(v);
  const open = toSend(v);
  const sent = groups.flatMap((g) => g.cards).filter((c) => c.sent);
  return (
    <>
      <Title line={v.line}>{w.title}</Title>
      <ReadOnly />
      {open.length > 1 && !locked.value && <Btn kind="main" onPress={() => { begin(open); go("texts", "row"); }}>{w.row(open.length)}</Btn>}
      {groups.map((g) => <Group key={g.name + g.fold} {...g} cards={g.cards.filter((c) => !c.sent && !c.queued)} />)}
      <Group name={w.server} cards={groups.flatMap((g) => g.cards).filter((c) => c.queued)} />
      <Bell useful={sent.some((c) => !c.answer && c.kind !== "street")} />
      <Group name={w.waiting} cards={sent.filter((c) => !c.answer)} />
      <Group name={w.done} cards={sent.filter((c) => c.answer)} />
      {!open.length && !sent.length && <p class="soft">{w.none}</p>}
      <Group name={w.callIn} cards={v.callIn} fold />
      <Row href={path("words")} name={t().wordings.title} note={t().more.wordsNote} />
    </>
  );
}

interface Some { name: string; cards: TextCard[]; fold?: boolean }

/** Group is the texts of one kind; fold: they press nobody, so they open when somebody asks for them. */
const Group = ({ name, cards, fold }: Some) => {
  if (!cards.length) return null;
  const all = cards.map((c) => <Card key={c.id} c={c} />);
  if (!fold) return <Section name={name} count={cards.length}>{all}</Section>;
  return (
    <details class="group-list">
      <summary>{name}<span class="count">{cards.length}</span></summary>
      <div class="stack">{all}</div>
    </details>
  );
};

/** groupsOf puts what hurries first. */
function groupsOf(v: TextsView): Some[] {
  const w = t().texts;
  return [
    { name: w.off, cards: v.off }, { name: w.moved, cards: v.moved }, { name: v.day.long, cards: v.tomorrow }, { name: w.ask, cards: v.ask },
    { name: w.go, cards: v.go }, { name: w.order, cards: v.order.filter((c) => c.kind === "reorder") },
    { name: w.order, cards: v.order.filter((c) => c.kind !== "reorder"), fold: true }, { name: w.remind, cards: v.remind, fold: true }, { name: w.street, cards: v.street, fold: true },
  ];
}

/** toSend is what is to be told and is not folded away. */
const toSend = (v: TextsView) => groupsOf(v).filter((g) => !g.fold).flatMap((g) => g.cards).filter((c) => !c.sent && !c.queued);

// ---- several in a row

/** A row is the texts somebody set out to send, and how far they came. It is kept on the phone: the message
 *  program takes the screen away, and some phones start the page anew when one comes back. */
interface RowOf { ids: string[]; at: number }

const key = () => `bb.row.${head.value?.siteId ?? ""}`;
const begin = (cards: TextCard[]) => write(key(), JSON.stringify({ ids: cards.map((c) => c.id), at: 0 } satisfies RowOf));

function kept(): RowOf {
  try {
    const row = JSON.parse(read(key())) as RowOf;
    if (Array.isArray(row.ids) && Number.isInteger(row.at)) return row;
  } catch { /* none */ }
  return { ids: [], at: 0 };
}

/** InARow shows one text at a time: out through the phone, back here, the next. */
function InARow({ v }: { v: TextsView }) {
  const w = t().texts;
  const [row, setRow] = useState(kept);
  const to = (at: number) => { const next = { ...row, at }; write(key(), JSON.stringify(next)); setRow(next); };
  const id = row.ids[row.at];
  const c = toSend(v).find((x) => x.id === id);
  const next = async () => { if (c && await send(c)) to(row.at + 1); };
  if (!id) {
    return (
      <>
        <Title goBack={["texts"]}>{w.title}</Title>
        <p class="lead">{w.rowDone}</p>
        <Btn kind="main" onPress={() => swap("texts")}>{w.all}</Btn>
      </>
    );
  }
  return (
    <>
      <Title goBack={["texts"]} line={c?.kindName}>{w.at(row.at + 1, row.ids.length)}</Title>
      {c ? (
        <article class="card text" data-text={c.id}>
          <Head c={c} />
          <Body c={c} />
          <div class="acts"><Out c={c} /><Btn kind="good" changes label={`${w.next}: ${c.name}`} onPress={() => void next()}>{w.next}</Btn></div>
          <OtherWays c={c} />
        </article>
      ) : <p class="lead">{w.gone}</p>}
      <div class="foot acts">
        {row.at > 0 && <Btn onPress={() => to(row.at - 1)}>{w.before}</Btn>}
        <Btn onPress={() => to(row.at + 1)}>{w.skip}</Btn>
      </div>
    </>
  );
}
