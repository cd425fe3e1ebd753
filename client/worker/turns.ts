// Which of several tabs works, where the browser has no locks: it has none on a plain http:// page.
// The tabs settle it by asking each other. Two that are opened within the same third of a second may
// both begin; over HTTPS and on localhost the browser's own locks rule that out.
const ANSWER_MS = 300;

export class Turns {
  private channel = new BroadcastChannel("batterboard-turns");
  private mine = false;
  private heard = () => {};

  /** lost is called when another tab has taken over. */
  constructor(private lost: () => void) {
    this.channel.onmessage = (e: MessageEvent<string>) => this.hear(e.data);
  }

  private hear(word: string) {
    if (word === "anyone?" && this.mine) this.channel.postMessage("here");
    else if (word === "here") this.heard();
    else if (word === "give" && this.mine) {
      this.mine = false;
      this.lost();
    }
  }

  /** take tells whether this tab may work; with insist it takes the turn from another. */
  async take(insist: boolean): Promise<boolean> {
    if (insist) this.channel.postMessage("give");
    else if (await this.anyone()) return false;
    this.mine = true;
    return true;
  }

  private anyone(): Promise<boolean> {
    return new Promise((done) => {
      this.heard = () => done(true);
      this.channel.postMessage("anyone?");
      setTimeout(() => done(false), ANSWER_MS);
    });
  }
}
