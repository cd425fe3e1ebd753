// Draws the picture of README.md anew: node picture.mjs, after a build. The demo on its Tuesday: the strings, the ways
// through when Electric cannot come, what holds up the board. Look at it before you commit it.
import { writeFileSync } from "node:fs";
import { fileURLToPath } from "node:url";
import { launch } from "./rig/browser.mjs";
import { Phone } from "./rig/phone.mjs";
import { Server } from "./rig/server.mjs";
import { en } from "./rig/words.mjs";

const browser = await launch();
const server = await Server.start();
const marit = await Phone.on(browser, server);
const shots = [];
const shot = async () => shots.push((await marit.page.screenshot()).toString("base64"));
try {
  await marit.packed();
  await marit.go("#/strings", "strings");
  await marit.page.getByText("Rough-in").first().waitFor();
  await shot();
  await marit.go("#/cant/electric", "cant");
  await marit.tap(en.cant.find);
  await marit.page.locator("[data-way]").first().waitFor();
  await marit.page.getByText(/^\d ways? through/).first().waitFor(); // the search has said its last word
  await shot();
  await marit.go("#/holds/board-ceiling-1", "holds");
  await marit.page.getByText("Rough plumbing").first().waitFor();
  await shot();
  const board = await browser.newPage({ viewport: { width: 1246, height: 880 }, deviceScaleFactor: 1.25 });
  await board.setContent(`<body style="margin:0;background:#d8cfbb;display:flex;justify-content:center;gap:16px;padding:16px;box-sizing:border-box">${
    shots.map((s) => `<img src="data:image/png;base64,${s}" style="width:390px;height:844px;border:2px solid #1d2a33;border-radius:16px">`).join("")}</body>`);
  await board.waitForFunction(() => [...document.images].length === 3 && [...document.images].every((i) => i.complete && i.naturalWidth > 0));
  writeFileSync(fileURLToPath(new URL("../../testdata/pictures/strings.png", import.meta.url)), await board.screenshot());
} finally {
  await browser.close();
  await server.stop();
}
process.exit(0);
