import { useState } from "preact/hooks";
import { act, head, refused, troubleText } from "../state";
import { job } from "../bridge";
import { path } from "../route";
import { t } from "../words";
import { Btn, Row, Section, Title } from "../parts/kit";
import { Field } from "../parts/fields";
import { Unread } from "../parts/clash";
import { Plain } from "../parts/plain";

export function More() {
  const w = t().more;
  const k = t().trade.more;
  const h = head.value;
  const n = (h?.unread ?? 0) + (h?.rejected ?? 0);
  return (
    <>
      <Title line={h?.site}>{w.title}</Title>
      <Unread />
      <Plain />
      <div class="stack">
        <Row href={path("setup")} name={w.setup} note={w.setupNote} />
        <Row href={path("odds")} name={w.odds} note={w.oddsNote} />
        <Row href={path("review")} name={k.review} note={k.reviewNote} mark={h?.questions ? <span class="badge" aria-label={t().trade.questions(h.questions)}>{h.questions}</span> : null} />
        <Row href={path("orders")} name={k.orders} note={k.ordersNote} />
        <Row href={path("readings")} name={k.readings} note={k.readingsNote} />
        <Row href={path("rules")} name={k.rules} note={k.rulesNote} />
        <Row href={path("week")} name={k.week} note={k.weekNote} />
        <Row href={path("photos")} name={w.photos} note={w.photosNote} />
        <Row href={path("words")} name={t().wordings.title} note={w.wordsNote} />
        <Row href={path("log")} name={w.log} note={w.logNote} mark={n ? <span class="badge">{n}</span> : null} />
        <Row href={path("phone")} name={w.phone} note={w.phoneNote} />
        <Row href={path("news")} name={t().news.row} note={t().news.rowNote} />
        <Row href={path("sites")} name={w.sites} note={w.sitesNote} />
        <Row href={path("look")} name={w.look} note={w.lookNote} />
        <button type="button" class="row" onClick={() => void backup()}><span class="grow"><b>{w.backup}</b><span class="soft">{w.backupNote}</span></span></button>
        <Row href={path("about")} name={w.about} />
      </div>
      <Diary />
    </>
  );
}

function Diary() {
  const w = t().more;
  const [line, setLine] = useState("");
  const write = async () => {
    const wrote = line;
    if (await act({ do: "note", said: wrote.trim() })) setLine((now) => (now.startsWith(wrote) ? now.slice(wrote.length).trimStart() : now)); // the next one may be under way
  };
  return (
    <Section name={w.diary}>
      <Field label={w.diaryLine}><textarea rows={2} value={line} onInput={(e) => setLine(e.currentTarget.value)} /></Field>
      <Btn changes off={!line.trim()} onPress={() => void write()}>{w.diaryAdd}</Btn>
    </Section>
  );
}

async function backup() {
  try {
    const text = await job<string>({ to: "backup" });
    const link = document.createElement("a");
    link.href = URL.createObjectURL(new Blob([text], { type: "application/json" }));
    link.download = `${(head.value?.site ?? "site").replace(/[^\p{L}\p{N}]+/gu, "-")}-${head.value?.now.slice(0, 10) ?? ""}.json`;
    link.click();
    setTimeout(() => URL.revokeObjectURL(link.href), 10_000);
  } catch (e) {
    refused.value = troubleText(e);
  }
}
