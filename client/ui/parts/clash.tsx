// What two phones decided at once, each without knowing of the other: both are shown, one tap settles it.
import type { Clash } from "../view";
import { path } from "../route";
import { act, head } from "../state";
import { t } from "../words";
import { Btn } from "./kit";

/** Clashes are cards; under a heading that says what they are (said) they do not say it again. */
export const Clashes = ({ list, said }: { list?: Clash[]; said?: boolean }) => <>{list?.map((c) => <ClashCard key={`${c.kind}/${c.id}/${c.field}`} c={c} said={said} />)}</>;

/** Unread leads to what was decided on two phones at once, and to what the server refused. */
export function Unread() {
  const h = head.value;
  if (!h) return null;
  return (
    <>
      {h.unread > 0 && <a class="note" href={path("log")}>{t().clash.unread(h.unread)}</a>}
      {h.rejected > 0 && <a class="note" href={path("log")}>{t().clash.rejected(h.rejected)}</a>}
    </>
  );
}

function ClashCard({ c, said }: { c: Clash; said?: boolean }) {
  const w = t().clash;
  const take = (op: string) => void act({ do: "choose", kind: c.kind, id: c.id, field: c.field, op });
  return (
    <article class="card clash">
      <p><b>{c.name}</b> · {c.label}</p>
      {!said && <p class="soft">{w.lead}</p>}
      {[{ value: c.kept, by: c.by, op: c.op }, ...c.others].map((v, i) => (
        <div key={v.op} class="acts spread">
          <span><b>{v.value}</b> <span class="soft">{i ? v.by : `${v.by} · ${w.stands}`}</span></span>
          <Btn changes label={`${i ? w.take : w.keep}: ${v.value}`} onPress={() => take(v.op)}>{i ? w.take : w.keep}</Btn>
        </div>
      ))}
    </article>
  );
}
