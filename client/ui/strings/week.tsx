import type { StringsView } from "../view";
import { dayStart, minutes } from "../clock";
import { path } from "../route";
import { t } from "../words";
import { Named } from "../parts/kit";

const SHOWN = 6; // working days: a week and the next morning

/** Week says the days ahead in words, beside the strings where the screen is wide enough. */
export function Week({ v, now }: { v: StringsView; now: string }) {
  const from = minutes(now) - (minutes(now) % 1440);
  const trade = new Map(v.crews.map((c) => [c.id, c]));
  const days = v.days.filter((d) => dayStart(d.day) >= from && !d.shut).slice(0, SHOWN);
  return (
    <aside class="ahead" aria-label={t().strings.week}>
      <h2>{t().strings.week}</h2>
      {days.map((d) => {
        const start = dayStart(d.day);
        const on = (from: string, to: string) => minutes(from) < start + 1440 && minutes(to) > start;
        const blocks = v.blocks.filter((b) => on(b.start, b.finish));
        const bars = v.bars.filter((b) => on(b.at, b.to) && b.state !== "signed");
        return (
          <section key={d.day}>
            <h3>{d.short}</h3>
            {bars.map((b) => <a key={b.id} class="line rust" href={path("holds", b.id)}>{b.label}</a>)}
            {blocks.map((b) => (
              <a key={b.id} class="line" href={path("block", b.id)}>
                <Named small trade={b.trade}>{trade.get(b.crew)?.name ?? t().strings.nobody}</Named> <span>{b.name}</span>
                <span class="soft"> {b.taut ? b.slack : t().booking[b.booking]}</span>
              </a>
            ))}
            {!blocks.length && !bars.length && <p class="soft">{t().strings.nothingOn}</p>}
          </section>
        );
      })}
    </aside>
  );
}
