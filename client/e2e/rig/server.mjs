// A real server: the built binary on a free port with a folder of its own, which can be killed and
// started again as if the machine had lost power.
import { spawn } from "node:child_process";
import { mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { fileURLToPath } from "node:url";

export const binary = process.env.BB_BIN ?? fileURLToPath(new URL("../../../bin/batterboard", import.meta.url));

/** The day the demo is laid to: a Tuesday in the middle of the job, so that every run is the same run. */
export const TODAY = "2027-04-06";

export class Server {
  /** Starts a server. Without demo it is empty and prints an owner link. */
  static async start({ demo = true, today = TODAY, args = [] } = {}) {
    const server = new Server();
    server.folder = mkdtempSync(join(tmpdir(), "batterboard-e2e-"));
    server.args = ["serve", "--data", server.folder, ...(demo ? ["--demo", "--demo-today", today] : []), ...args];
    await server.up();
    return server;
  }

  port = 0;
  log = "";

  /** up starts the program and waits for its ready line. A second start takes the same port again. */
  async up() {
    this.child = spawn(binary, [...this.args, "--addr", `127.0.0.1:${this.port}`], { stdio: ["ignore", "pipe", "pipe"] });
    this.gone = new Promise((resolve) => this.child.once("exit", (code, signal) => resolve(signal ?? code)));
    const ready = new Promise((resolve, reject) => {
      const hear = (chunk) => {
        this.log += chunk;
        const line = /^listening http:\/\/[^\s]*:(\d+)/m.exec(this.log.slice(this.read ?? 0));
        if (line) resolve(Number(line[1]));
      };
      this.child.stdout.on("data", hear);
      this.child.stderr.on("data", hear);
      this.gone.then((how) => reject(new Error(`the server ended (${how}) before it was ready:\n${this.log}`)));
    });
    this.port = await ready;
    this.read = this.log.length;
  }

  /** ownerCode is the one-time code of an empty server's owner link. */
  ownerCode() {
    const link = /#\/pair\/(\S+)/.exec(this.log);
    if (!link) throw new Error(`no owner link in:\n${this.log}`);
    return link[1];
  }

  /** kill is the pulled plug: nothing is put away. */
  async kill() {
    this.child.kill("SIGKILL");
    await this.gone;
  }

  /** stop asks politely and wants exit status 0. */
  async stop() {
    this.child.kill("SIGTERM");
    const how = await this.gone;
    rmSync(this.folder, { recursive: true, force: true });
    if (how !== 0) throw new Error(`the server did not stop cleanly (${how}):\n${this.log}`);
  }
}
