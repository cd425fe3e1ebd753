// An operation is signed over its bytes, so it must come out of the engine's reply and go back into
// the next session as the very same text. JSON.parse and JSON.stringify would rewrite escapes and
// large numbers; these few lines cut the text instead.

/** fields cuts a JSON object into the raw text of each of its values. */
export function fields(text: string): Record<string, string> {
  const found: Record<string, string> = {};
  let i = skipSpace(text, 0) + 1;
  for (;;) {
    i = skipSpace(text, i);
    if (text[i] !== '"') return found;
    const keyEnd = skipString(text, i);
    const key = JSON.parse(text.slice(i, keyEnd)) as string;
    const start = skipSpace(text, skipSpace(text, keyEnd) + 1);
    const end = skipValue(text, start);
    found[key] = text.slice(start, end);
    i = skipSpace(text, end) + 1;
  }
}

/** items cuts a JSON list into the raw text of its members. */
export function items(text: string): string[] {
  const found: string[] = [];
  let i = skipSpace(text, 1);
  while (i < text.length && text[i] !== "]") {
    const end = skipValue(text, i);
    found.push(text.slice(i, end));
    i = skipSpace(text, end);
    if (text[i] === ",") i = skipSpace(text, i + 1);
  }
  return found;
}

function skipSpace(text: string, i: number): number {
  while (i < text.length && text.charCodeAt(i) <= 32) i++;
  return i;
}

function skipString(text: string, i: number): number {
  for (let end = text.indexOf('"', i + 1); end > 0; end = text.indexOf('"', end + 1)) {
    let back = end - 1;
    while (text[back] === "\\") back--;
    if ((end - back) % 2 === 1) return end + 1;
  }
  throw new Error("a text without an end");
}

function skipValue(text: string, i: number): number {
  if (text[i] === '"') return skipString(text, i);
  if (text[i] !== "{" && text[i] !== "[") {
    while (i < text.length && !",]}".includes(text[i]!) && text.charCodeAt(i) > 32) i++;
    return i;
  }
  for (let depth = 0; i < text.length; ) {
    const c = text[i];
    if (c === '"') { i = skipString(text, i); continue; }
    if (c === "{" || c === "[") depth++;
    if (c === "}" || c === "]") depth--;
    i++;
    if (depth === 0) return i;
  }
  throw new Error("a value without an end");
}
