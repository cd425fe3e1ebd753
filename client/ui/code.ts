// The code that lets a phone in, as people hand it over: read out, typed, or with the whole link around it.

/** codeOf takes the code out of what was typed or pasted: letters and digits, capitals. */
export const codeOf = (text: string): string =>
  (/#\/pair\/([^\s/?#]+)/.exec(text)?.[1] ?? text).toUpperCase().replace(/[^\p{L}\p{N}]/gu, "");

/** misread: a letter that no code has, because it is too much like another. */
export const misread = (code: string): boolean => /[01IO]/.test(code);
