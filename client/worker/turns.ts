// Who leads where the browser has no locks: it has none on a plain http:// page. A tab that hears no
// leader for a while leads. Two may think so at once; the store takes writes from the later one only, and
// the other finds out with its next write (store.ts).
const QUIET_MS = 400;
const LOOK_MS = 3_000;

export class Turns {
  private at = 0;
  private timer = 0;

  constructor(private leading: () => boolean, private lead: () => Promise<void>, private knock: () => void = () => {}) {}

  /** heard: some tab spoke. */
  heard() { this.at = performance.now(); }

  /** wait leads when nobody is heard, now or some time later; with insist at once. */
  wait(insist: boolean) {
    clearTimeout(this.timer);
    if (insist) return void this.take();
    this.knock();
    const asked = performance.now();
    this.timer = setTimeout(() => {
      if (this.at >= asked) this.timer = setTimeout(() => this.wait(false), LOOK_MS) as unknown as number;
      else void this.take();
    }, QUIET_MS) as unknown as number;
  }

  private async take() {
    if (this.leading()) return;
    await this.lead();
    this.wait(false);
  }
}
