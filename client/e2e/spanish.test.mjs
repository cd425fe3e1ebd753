// The whole screen in Spanish, without a word of English left over from our own labels.
import assert from "node:assert/strict";
import { story } from "./rig/story.mjs";
import { en, es } from "./rig/words.mjs";

story("the app in Spanish, chosen by the phone and by hand", async ({ phone }) => {
  const nacho = await phone({ words: es, locale: "es-MX" });
  await nacho.home();
  assert.equal(await nacho.page.locator("html").getAttribute("lang"), "es");
  // What the owner wrote stays as written; the demo's owner writes English.
  const written = await nacho.siteBytes();
  const english = new Set(allText(en).filter((text) => text.length > 7 && !allText(es).includes(text) && !written.includes(text)));
  for (const screen of ["today", "cant", "strings", "holds", "texts", "more", "setup", "log", "phone", "sites", "start", "look", "about"]) {
    await nacho.go(`#/${screen}`, screen);
    const shown = await ownWords(nacho);
    for (const text of english) assert.ok(!shown.includes(text), `${screen} shows the English “${text}”`);
  }
  await nacho.go("#/strings", "strings");
  assert.match(await nacho.page.locator(".strings-head").innerText(), /\b(lun|mar|mié|jue|vie|sáb|dom)\b/i, "dates are written in Spanish");

  await nacho.go("#/look", "look");
  await nacho.tap(es.look.languages.en);
  nacho.words = en;
  await nacho.page.getByRole("heading", { name: en.look.title }).waitFor();
  await nacho.tab("today");
  await nacho.sees(en.today.cant);
  await nacho.page.reload();
  await nacho.onScreen("today");
  assert.equal(await nacho.page.locator("html").getAttribute("lang"), "en", "the choice is kept");
});

/** ownWords is what is shown, without what is marked as being in another language: texts to crews. */
function ownWords(phone) {
  return phone.page.evaluate(() => {
    const copy = document.body.cloneNode(true);
    for (const other of copy.querySelectorAll('[lang="en"], noscript')) other.remove();
    return copy.textContent;
  });
}

function allText(words) {
  return Object.values(words).flatMap((w) => (typeof w === "string" ? [w] : typeof w === "object" ? allText(w) : []));
}
