// The way back from the packed form of the planner; embed/build/pack.go says what it is and why.

const MAGIC = "BBP1";
const LIMIT = 64 << 20; // no program of ours is that long
const NATURAL = [2, 3, 2, 3, 0, 0, 1, 1, 0, 0, 1, 1, 2, 2, 2, 3, 2, 3, 0, 1, 0, 1, 2];
const NAMES = ["plan", "head", "tail", "words", "locals", "op", "local", "stackLoad", "stackStore", "elsewhere",
  "call", "callNew", "back", "jump", "table", "tableStep", "i32", "i64", "addressHigh", "address", "func", "frame", "level", "type", "rest"] as const;
type Streams = Record<(typeof NAMES)[number], Reader>;

/** unpack returns the program. What is no packed one is returned as it is, what is a broken one throws. */
export function unpack(b: Uint8Array): Uint8Array<ArrayBuffer> {
  if (String.fromCharCode(...b.subarray(0, 4)) !== MAGIC) return b.slice();
  const all = new Reader(b.subarray(4));
  const s = Object.fromEntries(NAMES.map((name) => [name, new Reader(all.next(all.u()))])) as Streams;
  const out = new Writer(s.plan.u());
  const code = s.plan.u(), count = s.plan.u();
  const head = s.head.all(), own = leb(count).length;
  out.put(head.subarray(0, head.length - own));
  out.put([10, ...leb(code), ...head.subarray(head.length - own)]);
  const called: number[] = []; // the functions called last
  const body = new Writer(Math.min(code, out.b.length));
  for (let number = 0; number < count; number++) {
    body.i = 0;
    unpackFunction(s, number, called, body);
    out.put(leb(body.i));
    out.put(body.b.subarray(0, body.i));
  }
  out.put(unpackTail(s));
  if (out.i !== out.b.length) throw new Error("the planner came incomplete");
  return out.b;
}

function unpackFunction(s: Streams, number: number, called: number[], out: Writer) {
  const base = (0x1000 + number) * 0x10000;
  const open: number[] = [], table: number[] = [];
  const stack: number[] = []; // what lies on WebAssembly's stack: is it Go's stack pointer?
  let height = 0, closed = 0, next = 0, frame = 1;

  for (let groups = out.same(s.locals); groups > 0; groups--) {
    out.same(s.locals);
    out.byte(s.locals.byte());
  }
  const call = () => {
    const k = s.call.byte();
    const f = k === 255 ? s.callNew.pair() : called.splice(k, 1)[0]!;
    called.unshift(f);
    if (called.length > 250) called.pop();
    return f;
  };
  const brTable = (before: (last: number) => void = () => undefined) => {
    const steps = [-1], n = s.table.u();
    for (let k = 0; k <= n; k++) steps.push(steps[k]! + 1 + s.tableStep.z());
    before(steps[n + 1]!);
    out.u(n);
    for (let k = 1; k <= n + 1; k++) out.u(steps[k]!);
    if (table.length === 0) table.push(...steps.slice(1));
  };
  const stackOffset = (r: Reader) => {
    const v = r.u();
    return v % 2 ? (v - 1) / 2 : v * 4;
  };

  for (;;) {
    const sign = s.op.byte();
    switch (sign) {
      case 0xff: return;
      case 0xd0: case 0xd1: { // a call
        const back = base + next + (sign === 0xd1 ? s.back.z() : 0);
        out.put([0x20, 1, 0x41, 8, 0x6b, 0x22, 1, 0x24, 0, 0x20, 1, 0x42]);
        out.s(back);
        out.put([0x37, 3, 0, 0x41, 0, 0x10]);
        out.u(call());
        out.put([0x23, 0, 0x21, 1, 0x0d]);
        out.u(open.length - 1);
        height = 0;
        continue;
      }
      case 0xd2: // a jump
        out.byte(0x41);
        out.s(next + s.jump.z());
        out.put([0x21, 0, 0x0c]);
        out.u(open.length - 2);
        height = 0;
        continue;
      case 0xd3: // the start of a function
        out.put([0x23, 0, 0x21, 1, 2, 0x40, 3, 0x40]);
        open.push(2, 3);
        brTable((last) => {
          for (let n = last; n >= 0; n--) {
            out.put([2, 0x40]);
            open.push(2);
          }
          out.put([0x20, 0, 0x0e]);
        });
        height = 0;
        continue;
      case 0xd4: case 0xd5: { // the stack's pointer moves
        out.put([0x20, 1, 0x41]);
        const move = s.frame.u() || frame;
        if (sign === 0xd5) frame = move;
        out.s(move - 1);
        out.put([sign === 0xd4 ? 0x6a : 0x6b, 0x22, 1, 0x24, 0]);
        continue;
      }
      case 0xd6:
        out.put([0x20, 1, 0x29, 3]);
        out.u(stackOffset(s.stackLoad));
        stack[height++] = 0;
        continue;
    }

    const op = sign >= 0xd7 && sign <= 0xd9 ? 0x20 + sign - 0xd7 : sign >= 0xda && sign <= 0xdc ? 0x42 : sign;
    out.byte(op);
    if (op >= 2 && op <= 4) {
      out.byte(s.type.byte());
      open.push(op);
    } else if (op === 0x0b) {
      if (open.pop() === 2) closed++;
      while (next < table.length && table[next]! < closed) next++;
    } else if (op === 0x0c || op === 0x0d) out.u(open.length - s.level.u());
    else if (op === 0x0e) brTable();
    else if (op === 0x10) out.u(call());
    else if (op >= 0x20 && op <= 0x22) out.u(sign !== op ? 1 : s.local.u());
    else if (op >= 0x28 && op <= 0x3e) {
      out.byte(NATURAL[op - 0x28]!);
      const load = op <= 0x35, below = height - (load ? 1 : 2), pointer = below >= 0 && stack[below];
      out.u(pointer ? stackOffset(load ? s.stackLoad : s.stackStore) : s.elsewhere.u());
    } else if (op === 0x41) out.same(s.i32);
    else if (sign === 0xda) out.s(base + next + s.back.z());
    else if (sign === 0xdb) out.s(s.addressHigh.byte() * 0x10000 + s.address.pair());
    else if (sign === 0xdc) out.s(s.func.pair() * 0x10000);
    else if (op === 0x42) out.same(s.i64);
    else rest(s.rest, op, out);

    const effect = EFFECT[op]!;
    height = effect === 252 ? 0 : Math.max(0, height - (effect >> 2));
    if (effect & 1) stack[height++] = sign === 0xd7 ? 1 : 0;
  }
}

/** rest copies the operands that have no stream of their own. */
function rest(r: Reader, op: number, out: Writer) {
  if (op === 0x11) out.same(r);
  if (op === 0x11 || op === 0x23 || op === 0x24) out.same(r);
  else if (op === 0x3f || op === 0x40) out.byte(r.byte());
  else if (op === 0x43) out.put(r.next(4));
  else if (op === 0x44) out.put(r.next(8));
  else if (op === 0xfc) {
    const kind = out.same(r);
    if (kind >= 8) out.put(r.next(kind === 11 ? 1 : 2));
  } else if (op > 1 && op !== 5 && op !== 0x0f && op !== 0x1a && op !== 0x1b && (op < 0x45 || op > 0xc4)) throw new Error("the planner came damaged");
}

/** EFFECT: how many values an instruction takes from the stack, times four, and leaves there; what is not known empties it. */
const EFFECT = Uint8Array.from({ length: 256 }, (_, op) => {
  if (op === 0x1a || op === 0x21 || op === 0x24) return 4; // drop, set
  if (op === 0x1b) return 13; // select
  if (op === 0x20 || op === 0x23 || (op >= 0x41 && op <= 0x44)) return 1; // get, constants
  if (op === 0x22 || (op >= 0x28 && op <= 0x35)) return 5; // tee, loads
  if (op >= 0x36 && op <= 0x3e) return 8; // stores
  if (op < 0x45 || op > 0xc4) return 252;
  const one = op === 0x45 || op === 0x50 || (op >= 0x67 && op <= 0x69) || (op >= 0x79 && op <= 0x7b) ||
    (op >= 0x8b && op <= 0x91) || (op >= 0x99 && op <= 0x9f) || op >= 0xa7;
  return one ? 5 : 9; // tests, counts, conversions; arithmetic and comparisons
});

/** unpackTail puts the function table and the finder back to their places. */
function unpackTail(s: Streams): Uint8Array {
  const [size, list, funcs, finder, cells] = [s.plan.u(), s.plan.u(), s.plan.u(), s.plan.u(), s.plan.u()] as const;
  const out = new Writer(size);
  if (funcs > size || cells > size) throw new Error("the planner came damaged");
  // Words of functions by columns, the fixed ones first: they say how many more there are.
  const fixed: Uint32Array[] = [], more: Uint32Array[] = [], lengths = new Uint8Array(funcs).fill(11);
  for (let c = 0; c < 11; c++) fixed.push(column(s.words, lengths, c, c === 0));
  for (let f = 0; f < funcs; f++) lengths[f] = Math.min(64, 11 + fixed[7]![f]! + (fixed[10]![f]! >>> 24));
  for (let c = 11; c < 64; c++) more.push(column(s.words, lengths, c, false));

  out.put(s.tail.next(list));
  let at = list + 8 * (funcs + 1);
  for (let f = 0; f < funcs; f++) {
    out.word(list + 8 * f, fixed[0]![f]!);
    out.word(list + 8 * f + 4, at - list);
    for (let c = 0; c < lengths[f]!; c++) out.word(at + 4 * c, (c < 11 ? fixed[c] : more[c - 11])![f]!);
    at += 4 * (lengths[f]! + (lengths[f]! % 2));
  }
  out.word(list + 8 * funcs, s.words.u());
  out.word(list + 8 * funcs + 4, s.words.u());
  out.i = at;
  out.put(s.tail.next(finder - at));
  const rows = new Uint8Array(cells).fill(5);
  for (let c = 0; c < 5; c++) column(s.words, rows, c, true).forEach((v, r) => out.word(finder + 20 * r + 4 * c, v));
  out.i = finder + 20 * cells;
  out.put(s.tail.all());
  if (out.i !== size) throw new Error("the planner came incomplete");
  return out.b;
}

/** column reads one word for each row that is long enough: less one, or as steps from the one above. */
function column(words: Reader, lengths: Uint8Array, c: number, steps: boolean): Uint32Array {
  const out = new Uint32Array(lengths.length);
  let last = 0;
  for (let r = 0; r < lengths.length; r++) if (lengths[r]! > c) last = out[r] = steps ? (last + words.z()) >>> 0 : (words.u() - 1) >>> 0;
  return out;
}

const unzig = (v: number) => (v % 2 ? -(v + 1) / 2 : v / 2);

class Reader {
  private i = 0;
  constructor(private b: Uint8Array) {}
  byte(): number {
    const v = this.b[this.i++];
    if (v === undefined) throw new Error("the planner came incomplete");
    return v;
  }
  pair(): number { return this.byte() * 256 + this.byte(); }
  u(): number {
    let v = 0;
    for (let scale = 1; ; scale *= 128) {
      const c = this.byte();
      v += (c & 127) * scale;
      if (c < 128) return v;
      if (scale > 2 ** 42) throw new Error("the planner came damaged"); // nothing we count is so many
    }
  }
  z(): number { return unzig(this.u()); }
  next(n: number): Uint8Array {
    if (n < 0 || n > this.b.length - this.i) throw new Error("the planner came incomplete");
    return this.b.subarray(this.i, (this.i += n));
  }
  all(): Uint8Array { return this.next(this.b.length - this.i); }
}

class Writer {
  b: Uint8Array<ArrayBuffer>;
  i = 0;
  constructor(size: number) {
    if (!(size <= LIMIT)) throw new Error("the planner came damaged");
    this.b = new Uint8Array(size);
  }
  byte(v: number) { this.b[this.i++] = v; }
  /** word sets four bytes anywhere, the lowest first. */
  word(at: number, v: number) {
    for (let k = 0; k < 4; k++) this.b[at + k] = v >>> (8 * k);
  }
  put(bytes: ArrayLike<number>) {
    if (bytes.length > this.b.length - this.i) throw new Error("the planner came damaged");
    this.b.set(bytes, this.i);
    this.i += bytes.length;
  }
  /** u writes an unsigned number, s a signed one, as short as they go (LEB128). */
  u(v: number) {
    for (; v > 127; v = Math.floor(v / 128)) this.byte((v % 128) + 128);
    this.byte(v);
  }
  s(v: number) {
    for (; v > 63 || v < -64; v = Math.floor(v / 128)) this.byte((v & 127) | 128);
    this.byte(v & 127);
  }
  /** same copies a number as it stands, and returns it as an unsigned one. */
  same(from: Reader): number {
    let v = 0;
    for (let scale = 1; ; scale *= 128) {
      const c = from.byte();
      this.byte(c);
      v += (c & 127) * scale;
      if (c < 128) return v;
    }
  }
}

function leb(v: number): Uint8Array {
  const w = new Writer(8);
  w.u(v);
  return w.b.subarray(0, w.i);
}
