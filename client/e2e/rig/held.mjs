// What the phone has stored and has not heard of yet: a story decides when it does.
import assert from "node:assert/strict";
import { until } from "./phone.mjs";

/** holds lets the phone store, but hears of nothing that is stored until letsGo. */
export const holds = (phone) => phone.page.workers()[0].evaluate(() => {
  const listen = IDBTransaction.prototype.addEventListener;
  const held = [];
  let holding = true;
  IDBTransaction.prototype.addEventListener = function (kind, run, how) {
    const late = (e) => (holding ? held.push(() => run.call(this, e)) : run.call(this, e));
    listen.call(this, kind, kind === "complete" ? late : run, how);
  };
  self.letsOneGo = () => { const run = held.shift(); run?.(); return !!run; };
  self.letsGo = () => { holding = false; for (const run of held.splice(0)) run(); };
});
export const letsGo = (phone) => phone.page.workers()[0].evaluate(() => self.letsGo());

/** letsOneGo has the phone hear of the first thing it stored, once there is one. */
export const letsOneGo = (phone) =>
  until(() => phone.page.workers()[0].evaluate(() => self.letsOneGo()), () => assert.fail("nothing was stored"));
