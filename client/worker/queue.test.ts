import assert from "node:assert/strict";
import { test } from "node:test";
import { Queue } from "./queue";

test("what came first is done first, and a failure does not stop the next", async () => {
  const queue = new Queue();
  const said: string[] = [];
  let open: () => void = () => {};
  const gate = new Promise<void>((done) => { open = done; });
  const first = queue.add(async () => { await gate; said.push("first"); });
  const second = queue.add(() => { throw new Error("no"); });
  const third = queue.add(() => { said.push("third"); return 3; });
  open();
  await first;
  await assert.rejects(second, /no/);
  assert.equal(await third, 3);
  assert.deepEqual(said, ["first", "third"]);
});
