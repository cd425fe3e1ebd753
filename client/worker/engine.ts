// The planner: Go compiled to WebAssembly, one function from bytes to bytes.
import "go-exec";
import type { Files, Request } from "../ui/view";
import { fields, items } from "./slice";
import { unpack } from "./unpack";

declare const WASM_URL: string;
declare class Go {
  importObject: WebAssembly.Imports;
  exited: boolean;
  run(instance: WebAssembly.Instance): Promise<void>;
}

/** What the worker needs of a reply; ops, meta and view stay the text they were. */
export interface Reply {
  ops: string[];
  meta?: string;
  view?: string;
  frames: string[];
  changed: boolean;
  names?: Record<string, string>;
  document?: string;
  files?: Files;
  want: string[];
  /** the request was broken: a defect, or a frame no server of ours sends. What came before it is in ops. */
  failed?: string;
}

export interface Raw { ops?: string[]; meta?: string }

export class Engine {
  private constructor(private go: Go, private run: (b: Uint8Array) => Uint8Array) {}

  /** load compiles while the bytes still arrive. The first time, before there is a service worker, they come packed. */
  static async load(): Promise<Engine> {
    const go = new Go();
    const made = await compiled(go.importObject);
    void go.run(made);
    const run = (globalThis as { batterboard?: (b: Uint8Array) => Uint8Array }).batterboard;
    if (!run) throw new Error("the engine did not say hello");
    return new Engine(go, run);
  }

  /** call hands one request over. It throws when the engine is broken, never for what a person did. */
  call(req: Partial<Request>, raw: Raw = {}): Reply {
    if (this.go.exited) throw new Error("the engine has stopped");
    const bytes = this.run(new TextEncoder().encode(requestText(req, raw)));
    return replyOf(new TextDecoder().decode(bytes));
  }
}

function requestText(req: Partial<Request>, raw: Raw): string {
  let text = JSON.stringify(req).slice(0, -1);
  if (raw.ops?.length) text += `,"ops":[${raw.ops.join(",")}]`;
  if (raw.meta) text += `,"meta":${raw.meta}`;
  return text + "}";
}

function replyOf(text: string): Reply {
  const f = fields(text);
  return {
    ops: f.ops && f.ops !== "null" ? items(f.ops) : [],
    meta: f.meta,
    view: f.view,
    frames: f.frames ? ((JSON.parse(f.frames) as string[] | null) ?? []) : [],
    changed: f.changed === "true",
    names: f.names ? (JSON.parse(f.names) as Record<string, string>) : undefined,
    document: f.document,
    files: f.files ? (JSON.parse(f.files) as Files) : undefined,
    want: f.want ? (JSON.parse(f.want) as string[]) : [],
    failed: f.failed ? (JSON.parse(f.failed) as string) : undefined,
  };
}

async function compiled(imports: WebAssembly.Imports): Promise<WebAssembly.Instance> {
  const answer = await fetch(WASM_URL);
  if (!answer.ok) throw new Error(`the planner could not be fetched (${answer.status})`);
  const streams = answer.headers.get("Content-Type") === "application/wasm";
  const made = streams
    ? await WebAssembly.instantiateStreaming(answer, imports)
    : await WebAssembly.instantiate(unpack(new Uint8Array(await answer.arrayBuffer())), imports);
  return made.instance;
}
