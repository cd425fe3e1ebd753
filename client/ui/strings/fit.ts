// Words on a block: whole words that fit, as large as they may be. A name too long for its block is
// cut after a whole word, never inside one; the full name is one tap away and in the screen reader.

export interface Fitted { lines: string[]; size: number; squeeze: number }

const SIZES = [14, 13, 12, 11];
const LEADING = 1.14;
const LOOSE = /^(and|the|of|a|an|to|for|y|e|o|de|del|la|el|las|los|en|con|[-–·,&/]+)$/i;

let pen: CanvasRenderingContext2D | null | undefined;
const widths = new Map<string, number>();

/** wide measures text at 100 px, once per text. */
function wide(text: string): number {
  let w = widths.get(text);
  if (w === undefined) {
    pen ??= document.createElement("canvas").getContext("2d");
    if (pen) pen.font = `600 100px ${getComputedStyle(document.body).fontFamily}`;
    w = pen?.measureText(text).width ?? text.length * 60;
    widths.set(text, w);
  }
  return w;
}

export function fit(name: string, width: number, height: number): Fitted {
  const words = name.split(/\s+/).filter(Boolean);
  for (const size of SIZES) {
    const lines = wrap(words, width, size);
    if (lines && lines.length * size * LEADING <= height) return { lines, size, squeeze: 1 };
  }
  return shortened(words, width, height);
}

/** wrap fills lines with whole words; undefined when one word alone is too wide. */
function wrap(words: string[], width: number, size: number): string[] | undefined {
  const lines: string[] = [];
  for (const word of words) {
    const longer = lines.length ? `${lines.at(-1)} ${word}` : word;
    if ((wide(longer) * size) / 100 <= width) lines[Math.max(0, lines.length - 1)] = longer;
    else if ((wide(word) * size) / 100 <= width) lines.push(word);
    else return undefined;
  }
  return lines;
}

/** shortened takes as many first words as there is room for, in the smallest letters. */
function shortened(words: string[], width: number, height: number): Fitted {
  const size = SIZES.at(-1)!;
  const most = Math.max(1, Math.floor(height / (size * LEADING)));
  for (let n = words.length; n > 0; n--) {
    if (LOOSE.test(words[n - 1]!)) continue;
    const last = words[n - 1]!.replace(/[,;:·]+$/, "");
    const lines = wrap([...words.slice(0, n - 1), last], width, size);
    if (lines && lines.length <= most) return { lines, size, squeeze: 1 };
  }
  const first = (words[0] ?? "").replace(/[,;:·]+$/, "");
  return { lines: [first], size, squeeze: Math.max(0.6, Math.min(1, (width * 100) / (wide(first) * size))) };
}
