// The wire to the server. It only carries: what to say and what a frame means is the engine's matter.

const FIRST_WAIT = 1_000;
const LONGEST_WAIT = 30_000;
const NOT_PAIRED = 4401;
const NOT_STORED = 4507;
/** So often, so many times it is looked whether a line on which something was said, or that is being laid, gives a sign of life. */
const LOOK = 5_000;
const LOOKS = 5;
/** A connection that lived for so long was a good one. */
const GOOD = 30_000;

/** Why a connection is over: cut; never made; this phone was taken off the site; the server takes nothing just now. */
export type End = "cut" | "refused" | "revoked" | "full";

export interface Ends {
  opened(): void;
  frame(text: string): void;
  closed(reason: End): void;
}

export class Wire {
  private socket?: WebSocket;
  private timer = 0;
  private wait = FIRST_WAIT;
  private looking = 0;
  private since = 0; // when the connection was made
  private bad = 0; // connections in a row that led to nothing

  constructor(readonly site: string, private ends: Ends) { this.dial(); }

  get up() { return this.socket?.readyState === WebSocket.OPEN; }

  send(frames: string[]) {
    if (!this.up || !frames.length) return;
    for (const frame of frames) this.socket!.send(frame);
    this.listen();
  }

  /** now dials at once: the phone says it has signal again. */
  now() {
    if (this.socket || !this.timer) return;
    this.wait = FIRST_WAIT;
    this.dial();
  }

  hangUp() {
    this.heard();
    clearTimeout(this.timer);
    this.timer = 0;
    const socket = this.socket;
    this.socket = undefined;
    socket?.close();
  }

  /** again hangs up and dials later: what came did not make sense, could not be kept, or nobody here remembers it. */
  again() {
    if (!this.socket) return;
    const good = this.good();
    this.hangUp();
    this.later(good);
    this.ends.closed("cut");
  }

  private good() { return this.since > 0 && performance.now() - this.since > GOOD; }

  private dial() {
    clearTimeout(this.timer);
    this.timer = this.since = 0;
    const url = new URL("/ws", location.href);
    url.protocol = url.protocol === "https:" ? "wss:" : "ws:";
    url.searchParams.set("site", this.site);
    const socket = (this.socket = new WebSocket(url));
    this.listen();
    socket.onopen = () => {
      if (socket !== this.socket) return;
      this.heard();
      this.since = performance.now();
      this.wait = FIRST_WAIT;
      this.ends.opened();
    };
    socket.onmessage = (e: MessageEvent<unknown>) => {
      if (socket !== this.socket) return;
      this.heard();
      if (typeof e.data === "string") this.ends.frame(e.data);
    };
    socket.onclose = (e) => {
      if (socket !== this.socket) return;
      this.heard();
      this.socket = undefined;
      this.later(e.code !== NOT_STORED || this.good());
      this.ends.closed(e.code === NOT_PAIRED ? "revoked" : e.code === NOT_STORED ? "full" : this.since ? "cut" : "refused");
    };
  }

  /**
   * listen gives a line up that is dead without anybody saying so, as after a change of network: then the phone would
   * wait for minutes. It counts looks, not time: a worker that was busy or asleep has not listened.
   */
  private listen() {
    if (this.looking) return;
    let left = LOOKS, owed = Infinity;
    this.looking = setInterval(() => {
      const still = this.socket?.bufferedAmount ?? 0;
      if (still < owed) { owed = still; left = LOOKS; } // it goes out, slowly
      if (left-- === 0) this.again();
    }, LOOK) as unknown as number;
  }

  private heard() {
    clearInterval(this.looking);
    this.looking = 0;
  }

  /** later dials again after a wait that doubles; the spread keeps phones from calling all at once. */
  private later(well: boolean) {
    this.bad = well ? 0 : this.bad + 1;
    this.wait = Math.min(Math.max(this.wait, FIRST_WAIT * 2 ** this.bad / 2), LONGEST_WAIT);
    this.timer = setTimeout(() => this.dial(), this.wait * (0.5 + Math.random() / 2)) as unknown as number;
    this.wait = Math.min(this.wait * 2, LONGEST_WAIT);
  }
}
