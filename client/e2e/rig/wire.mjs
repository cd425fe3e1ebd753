// A wire that can be cut: a TCP relay between one phone and the server. A browser's own "offline"
// switch leaves open sockets open; cutting this one does what a basement does.
import { createServer, connect } from "node:net";
import { pipe } from "./badday.mjs";

export class Wire {
  /** Lays a wire to a port of this machine, on `port` or a free one. */
  static async to(server, port = 0) {
    const wire = new Wire();
    wire.server = server;
    wire.relay = createServer((near) => wire.#join(near));
    await new Promise((resolve, reject) => {
      wire.relay.once("error", reject);
      wire.relay.listen(port, "127.0.0.1", resolve);
    });
    wire.port = wire.relay.address().port;
    return wire;
  }

  whole = true;
  #ends = new Set();
  #held = []; // sockets whose server is kept from speaking
  #holding = false;

  /** host is this machine's name to the browser; under any but 127.0.0.1 a plain page is not a secure one. */
  host = "127.0.0.1";

  get url() { return `http://${this.host}:${this.port}`; }

  #join(near) {
    if (!this.whole) return near.resetAndDestroy();
    const far = connect(this.server.port, "127.0.0.1");
    for (const [end, other] of [[near, far], [far, near]]) {
      this.#ends.add(end);
      end.on("error", () => other.destroy());
      end.on("close", () => { this.#ends.delete(end); other.destroy(); });
    }
    pipe(near, far);
    near.once("data", (ask) => {
      const speak = () => pipe(far, near);
      if (this.#holding && /^GET \/ws\b/.test(ask)) this.#held.push(speak);
      else speak();
    });
  }

  /** hold lets sockets that are opened from now on hear nothing until release; pages and questions go through. */
  hold() { this.#holding = true; }

  release() {
    this.#holding = false;
    for (const speak of this.#held.splice(0)) speak();
  }

  /** cut ends every connection in the middle of whatever it says, and refuses new ones. */
  cut() {
    this.whole = false;
    for (const end of this.#ends) end.resetAndDestroy();
  }

  /** mend lets new connections through again. */
  mend() { this.whole = true; }

  async close() {
    this.cut();
    await new Promise((resolve) => this.relay.close(resolve));
  }
}
