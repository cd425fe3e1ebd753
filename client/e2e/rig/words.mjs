// The labels of the screen, straight from the screen's own files: a story that taps a button by its
// name does not break when the name gets better.
import { build } from "esbuild";
import { fileURLToPath } from "node:url";

async function read(lang, file = lang) {
  const entry = fileURLToPath(new URL(`../../ui/words/${file}.ts`, import.meta.url));
  const made = await build({ entryPoints: [entry], bundle: true, write: false, format: "esm", logLevel: "error" });
  const module = await import("data:text/javascript;base64," + Buffer.from(made.outputFiles[0].contents).toString("base64"));
  return module[lang];
}

export const en = await read("en");
export const es = await read("es");
/** The labels of papers are in a file of their own. */
en.papers = await read("papersEn", "papers");
es.papers = await read("papersEs", "papers");
