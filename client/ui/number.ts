// Numbers as people type them: 2.5 and 2,5 are the same, 1,200.50 and 1.200,50 too. A field of the browser's own
// for numbers swallows a comma in one language and a point in another, and two and a half hours become twenty-five.

/** numeral reads a number; undefined is none. With thousands, 1,200 is twelve hundred: amounts of money are written so. */
export function numeral(text: string, thousands = false): number | undefined {
  let s = text.replace(/[\s\u00a0\u202f$]/g, "").replace(/^\u2212/, "-");
  const last = Math.max(s.lastIndexOf(","), s.lastIndexOf("."));
  if (last >= 0) {
    const sign = s[last]!, other = sign === "," ? "." : ",";
    const many = s.split(sign).length > 2;
    const grouped = /^-?[1-9]\d{0,2}([.,]\d{3})+$/.test(s) && !s.includes(other);
    if (many ? !grouped : s.includes(other) && !/^-?\d{1,3}([.,]\d{3})*[.,]\d*$/.test(s)) return undefined;
    const whole = many || (thousands && grouped && sign === ",");
    s = whole ? s.replaceAll(sign, "") : s.slice(0, last).replaceAll(other, "") + "." + s.slice(last + 1);
  }
  return /^-?(\d{1,12}(\.\d{0,6})?|\.\d{1,6})$/.test(s) ? Number(s) : undefined;
}
