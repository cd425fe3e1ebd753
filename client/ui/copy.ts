/** copyText puts a text on the clipboard. On a plain http:// page browsers have only the old way of doing it. */
export async function copyText(text: string): Promise<void> {
  if (navigator.clipboard) return navigator.clipboard.writeText(text);
  const box = document.createElement("textarea");
  box.value = text;
  box.className = "aside-of-sight";
  document.body.append(box);
  box.select();
  const done = document.execCommand("copy");
  box.remove();
  if (!done) throw new Error("the browser would not copy");
}
