// The wire to the server. It only carries: what to say and what a frame means is the engine's matter.

const FIRST_WAIT = 1_000;
const LONGEST_WAIT = 30_000;
const NOT_PAIRED = 4401;

export interface Ends {
  opened(): void;
  frame(text: string): void;
  closed(reason: "cut" | "refused" | "revoked"): void;
}

export class Wire {
  private socket?: WebSocket;
  private timer = 0;
  private wait = FIRST_WAIT;

  constructor(readonly site: string, private ends: Ends) { this.dial(); }

  get up() { return this.socket?.readyState === WebSocket.OPEN; }

  send(frames: string[]) {
    if (this.socket?.readyState === WebSocket.OPEN) for (const frame of frames) this.socket.send(frame);
  }

  /** now dials at once: the phone says it has signal again. */
  now() {
    if (this.socket || !this.timer) return;
    this.wait = FIRST_WAIT;
    this.dial();
  }

  hangUp() {
    clearTimeout(this.timer);
    this.timer = 0;
    const socket = this.socket;
    this.socket = undefined;
    socket?.close();
  }

  /** again hangs up and dials after the usual wait: what came did not make sense, or nobody here remembers it. */
  again() {
    if (!this.socket) return;
    this.hangUp();
    this.ends.closed("cut");
    this.later();
  }

  private dial() {
    clearTimeout(this.timer);
    const url = new URL("/ws", location.href);
    url.protocol = url.protocol === "https:" ? "wss:" : "ws:";
    url.searchParams.set("site", this.site);
    const socket = (this.socket = new WebSocket(url));
    let opened = false;
    socket.onopen = () => {
      if (socket !== this.socket) return;
      opened = true;
      this.wait = FIRST_WAIT;
      this.ends.opened();
    };
    socket.onmessage = (e: MessageEvent<unknown>) => {
      if (socket === this.socket && typeof e.data === "string") this.ends.frame(e.data);
    };
    socket.onclose = (e) => {
      if (socket !== this.socket) return;
      this.socket = undefined;
      this.later();
      this.ends.closed(e.code === NOT_PAIRED ? "revoked" : opened ? "cut" : "refused");
    };
  }

  /** later dials again after a wait that doubles; the spread keeps phones from calling all at once. */
  private later() {
    this.timer = setTimeout(() => this.dial(), this.wait * (0.5 + Math.random() / 2)) as unknown as number;
    this.wait = Math.min(this.wait * 2, LONGEST_WAIT);
  }
}
