// The same server with a newer service worker: stands before it, hands everything on as it is, and
// gives sw.js a line more when a new version is to be out.
import http from "node:http";

export class Front {
  version = "";
  #ends = new Set();

  static async before(server) {
    const front = new Front();
    front.http = http.createServer((ask, answer) => front.#pass(server, ask, answer));
    front.http.on("connection", (near) => {
      front.#ends.add(near);
      near.on("close", () => front.#ends.delete(near));
    });
    front.http.on("upgrade", (ask, near, head) => front.#socket(server, ask, near, head));
    await new Promise((resolve) => front.http.listen(0, "127.0.0.1", resolve));
    front.port = front.http.address().port;
    return front;
  }

  #pass(server, ask, answer) {
    const newer = this.version && ask.url === "/sw.js";
    const headers = { ...ask.headers, ...(newer && { "accept-encoding": "identity" }) };
    if (newer) { delete headers["if-none-match"]; delete headers["if-modified-since"]; }
    const on = http.request({ port: server.port, host: "127.0.0.1", path: ask.url, method: ask.method, headers }, (got) => {
      const back = { ...got.headers };
      if (newer) { delete back["content-length"]; delete back.etag; }
      answer.writeHead(got.statusCode, back);
      if (!newer) return got.pipe(answer);
      got.on("end", () => answer.end(`\n// ${this.version}\n`));
      got.pipe(answer, { end: false });
    });
    on.on("error", () => answer.destroy());
    ask.pipe(on);
  }

  #socket(server, ask, near, head) {
    const on = http.request({ port: server.port, host: "127.0.0.1", path: ask.url, headers: ask.headers });
    on.on("error", () => near.destroy());
    on.on("upgrade", (got, far) => {
      const lines = Object.entries(got.headers).map(([k, v]) => `${k}: ${v}`).join("\r\n");
      near.write(`HTTP/1.1 101 Switching Protocols\r\n${lines}\r\n\r\n`);
      far.on("error", () => near.destroy()).on("close", () => near.destroy());
      near.on("error", () => far.destroy()).on("close", () => far.destroy());
      far.pipe(near);
      near.pipe(far);
      far.write(head);
    });
    on.end();
  }

  close() {
    for (const end of this.#ends) end.destroy(); // open sockets too, which the server itself has let go of
    return new Promise((resolve) => this.http.close(resolve));
  }
}
