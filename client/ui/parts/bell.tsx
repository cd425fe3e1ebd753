// Asks whether this phone should ring when a crew answers: once a crew has something to answer, and
// never again after a "not now".
import { useState } from "preact/hooks";
import { read, write } from "../state";
import { go } from "../route";
import { t } from "../words";
import { Btn } from "./kit";

const KEY = "bb.bell";

/** mayRing: nobody has decided about messages here yet, and the browser could bring them. */
const undecided = () => !read(KEY) && "Notification" in window && Notification.permission === "default";

export function Bell({ useful }: { useful: boolean }) {
  const [open, setOpen] = useState(undecided);
  if (!useful || !open) return null;
  const w = t().news;
  const settle = () => { write(KEY, "asked"); setOpen(false); };
  return (
    <aside class="card" data-bell>
      <p><b>{w.askTitle}</b></p>
      <div class="acts">
        <Btn onPress={settle}>{w.askNo}</Btn>
        <Btn kind="main" onPress={() => { settle(); go("news"); }}>{w.askYes}</Btn>
      </div>
    </aside>
  );
}
