// Words on a block: as large as they may be, whole where there is room, else parted as a typesetter parts
// them. A name too long for its block is cut after a whole word; the full name is one tap away and in the
// screen reader.

export interface Fitted { lines: string[]; size: number }
/** Measure is the width of a text in letters of 100 px. */
export type Measure = (text: string) => number;

/** Signs that are ours, not the name's, at the end of a line: drawn, but no part of the text. */
export const PARTED = "\u2010", SHORT = "\u2024";
const SMALL = 11; // px: smaller letters are not read at arm's length
const LEADING = 1.14;
const LOOSE = /^(and|the|of|a|an|to|for|y|e|o|de|del|la|el|las|los|en|con|[-–·,&/]+)$/i;

let pen: CanvasRenderingContext2D | null | undefined;
const widths = new Map<string, number>();

/** wide measures as the letters on a block are set, once per text. */
export const wide: Measure = (text) => {
  let w = widths.get(text);
  if (w === undefined) {
    pen ??= document.createElement("canvas").getContext("2d");
    if (pen) pen.font = `500 semi-condensed 100px ${getComputedStyle(document.body).fontFamily}`;
    w = pen?.measureText(text).width ?? text.length * 60;
    widths.set(text, w);
  }
  return w;
};

/** fit sets a name into a width and a height, in letters of at most `most` px. */
export function fit(name: string, width: number, height: number, most: number, measure: Measure = wide): Fitted {
  const words = name.split(/\s+/).filter(Boolean);
  const fits = (list: string[][], least = SMALL): Fitted | undefined => {
    for (let size = most; size >= least; size--) {
      const lines = wrap(list, (width * 100) / size, measure);
      if (lines && (lines.length === 1 || lines.length * size * LEADING <= height)) return { lines, size };
    }
    return undefined;
  };
  const whole = words.map((word) => [word]);
  const all = fits(whole, SMALL + 1) ?? fits(words.map(atHyphens), SMALL + 1) ?? fits(whole) ?? fits(words.map(syllables));
  if (all) return all;
  for (let n = words.length - 1; n > 0; n--) {
    if (LOOSE.test(words[n - 1]!)) continue;
    const first = [...words.slice(0, n - 1), bare(words[n - 1]!)];
    const some = fits(first.map(atHyphens)) ?? (n === 1 ? fits(first.map(syllables)) : undefined);
    if (some) return some;
  }
  return cut(bare(words[0] ?? ""), (width * 100) / SMALL, measure);
}

const bare = (word: string) => word.replace(/[,;:·]+$/, "");
const atHyphens = (word: string) => word.split(/(?<=[\p{L}]{2}-)(?=\p{L})/u);

/** cut abbreviates one word, as on a drawing: "Waterpr." */
function cut(word: string, room: number, measure: Measure): Fitted {
  let n = word.length;
  while (n > 1 && measure(n < word.length ? word.slice(0, n) + SHORT : word) > room) n--;
  return { lines: [n < word.length ? word.slice(0, n) + SHORT : word], size: SMALL };
}

/** wrap fills lines with words, each of which may be parted between its parts; undefined when a part is too wide. */
function wrap(words: string[][], room: number, measure: Measure): string[] | undefined {
  const lines: string[] = [];
  let line = "";
  for (const parts of words) {
    const whole = parts.join("");
    if (line && measure(`${line} ${whole}`) <= room) { line = `${line} ${whole}`; continue; }
    if (line) lines.push(line);
    line = "";
    if (measure(whole) <= room) { line = whole; continue; }
    for (const [i, part] of parts.entries()) {
      const dash = (s: string, last: boolean) => (last || s.endsWith("-") ? s : s + PARTED);
      const last = i === parts.length - 1;
      if (line && measure(dash(line + part, last)) <= room) { line += part; continue; }
      if (line) lines.push(dash(line, false));
      if (measure(dash(part, last)) > room) return undefined;
      line = part;
    }
  }
  if (line) lines.push(line);
  return lines;
}

const VOWEL = /[aeiouyáéíóúüàèìòùâêîôûäöåæø]/i;
/** Two letters that are never parted: they begin a syllable together, in English and Spanish alike. */
const TOGETHER = /^([bcdfgkptsw]r|[bcfgkps]l|[cst]h|ph|wh|th|qu|gn|kn|ll|rr|st|sp|sk|sc)$/i;
const LEAST_PART = 3;

/** syllables parts a word where a consonant begins a syllable: "Fire-block", "Plum-bing". Near enough to
 * the rules of both languages to be read without a stumble; used only where a word has no room whole. */
export function syllables(word: string): string[] {
  return atHyphens(word).flatMap((w) => {
    const parts: string[] = [];
    let from = 0;
    for (let i = 1; i < w.length - 1; i++) {
      if (VOWEL.test(w[i]!) || !VOWEL.test(w[i + 1]!)) continue; // a syllable begins before consonant and vowel
      let at = i;
      if (TOGETHER.test(w.slice(i - 1, i + 1))) at = i - 1;
      if (at - from < LEAST_PART || w.length - at < LEAST_PART || !VOWEL.test(w.slice(from, at))) continue;
      parts.push(w.slice(from, at));
      from = at;
    }
    return [...parts, w.slice(from)];
  });
}

/** shown is a name as it stands on its string: what the string says itself is left out of it. */
export function shown(name: string, crew: string): string {
  const [head = "", ...rest] = name.split(/,\s+/);
  const own = rest.join(", ");
  return own && head.toLowerCase() === crew.toLowerCase() ? own[0]!.toUpperCase() + own.slice(1) : name;
}
