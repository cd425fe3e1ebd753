// The pictures and papers of the open site on this phone: kept here before anything speaks of them, handed in
// when there is a connection (small ones first, in pieces), and fetched when somebody else added them.
// "Picture" stands for both below.
import type { Files, FilesLine } from "../ui/view";
import type { Trouble } from "./messages";
import * as server from "./server";
import { Said } from "./server";
import { sha256 } from "./sha256";
import type { Picture, Store } from "./store";

/** A piece and a question are bounded as in sync/limits.go: PictureChunk, MaxWanted. */
const PIECE = 128 << 10;
const QUESTION = 100;
/** A paper comes in pieces of this size: what has come of it is not fetched again when the line breaks. */
const COMING = 512 << 10;
/** Papers come to every phone before somebody looks, the newest first, up to so many bytes: on the site there may be no signal. */
const AHEAD = 100 << 20;
/** So many fetched pictures stay for the next look; small copies and this phone's own are not counted. */
const FETCHED = 150;
const SMALL = 64 << 10;
const LOST_AFTER = 30 * 24 * 3600_000;
/** What did not work, or is not on the server yet, is tried again after a wait that doubles. */
const FIRST_WAIT = 3_000;
const LONGEST_WAIT = 300_000;

export interface Around {
  store: Store;
  site: string;
  writes(): boolean; // this phone may hand in
  now(): number;
  files(): Promise<Files>; // what the site speaks of
  due(n: number): void; // so many pictures wait to be handed in
  untaken(n: number, why: Trouble): void; // so many the server does not take, and why it said so last
  came(): void; // a picture is here that was not
}

export class Photos {
  private busy = false;
  private wish = false;
  private on = false;
  private over = false;
  private timer = 0;
  private patience = FIRST_WAIT;
  /** What the server does not take is offered again when the site is next opened: it may have another program by then. */
  private no = new Set<string>();
  private coming = new Map<string, ArrayBuffer[]>(); // the beginnings of papers
  private fetching = new Map<string, Promise<ArrayBuffer>>();

  constructor(private around: Around) {}

  /** keep puts files on the phone, a picture with its small copy say, and names them. */
  async keep(...files: ArrayBuffer[]): Promise<string[]> {
    const { store, site, now } = this.around;
    const names = await Promise.all(files.map(sha256));
    await store.keepPictures(files.map((bytes, i) => ({ line: { site, file: names[i]!, at: now(), size: bytes.byteLength, own: true }, bytes })));
    return names;
  }

  /** look gives a picture's bytes: from the phone, or from the server, which then stays on the phone. */
  async look(file: string): Promise<ArrayBuffer> {
    const { store, site } = this.around;
    const here = await store.picture(site, file);
    if (here && (await sha256(here)) === file) return here;
    if (here) await store.dropPictures(site, [file]); // the phone's disk has spoilt it
    const { files } = await this.around.files();
    const bytes = await this.fetch(file, files.find((f) => f.file === file)?.size);
    await this.makeRoom(new Set(files.filter((f) => f.paper).map((f) => f.file)));
    return bytes;
  }

  /** online: there is a connection; what waits goes out, and small copies come in. */
  online() { this.on = true; this.patience = FIRST_WAIT; this.go(); }

  offline() { this.on = false; clearTimeout(this.timer); }

  close() { this.over = true; this.offline(); }

  /** wanted: the server lacks these, whatever it said before. */
  async wanted(files: string[]) {
    const lines = (await this.around.store.pictures(this.around.site)).filter((l) => files.includes(l.file));
    await this.around.store.notePictures(lines.map(({ sent: _, ...l }) => l));
    this.go();
  }

  /** go hands in and fetches, one picture after the other; asked while it runs, it looks once more. */
  go() {
    this.wish = true;
    if (this.busy || this.over) return;
    this.busy = true;
    clearTimeout(this.timer);
    void this.round().catch(() => false).then((done) => {
      this.busy = false;
      if (!this.on || this.over) return;
      if (this.wish) return this.go();
      if (done) { this.patience = FIRST_WAIT; return; }
      this.timer = setTimeout(() => this.go(), this.patience) as unknown as number;
      this.patience = Math.min(2 * this.patience, LONGEST_WAIT);
    });
  }

  /** round looks through all pictures once; false when something is left to be tried again. */
  private async round(): Promise<boolean> {
    this.wish = false;
    const { store, site } = this.around;
    const { epoch, files } = await this.around.files();
    const named = new Set(files.flatMap((f) => [f.small, f.file]));
    const lines = await this.forget(await store.pictures(site), named);
    const due = lines.filter((l) => named.has(l.file) && l.sent !== epoch && !this.no.has(l.file)).sort((a, b) => a.size - b.size);
    this.around.due(due.filter((l) => l.own).length);
    if (!this.on) return true; // online asks again
    if (this.around.writes()) await this.handInAll(due, epoch);
    const here = new Set(lines.map((l) => l.file));
    let all = true;
    for (const [file, size] of comeAhead(files)) {
      if (here.has(file) || !this.on) continue;
      const came = await this.fetch(file, size).catch(missing);
      if (came) this.around.came();
      else all = false;
    }
    return all;
  }

  /** forget drops what the site has not spoken of for a month. */
  private async forget(lines: Picture[], named: Set<string>): Promise<Picture[]> {
    const lost = lines.filter((l) => !named.has(l.file) && l.at < this.around.now() - LOST_AFTER);
    if (lost.length) await this.around.store.dropPictures(this.around.site, lost.map((l) => l.file));
    return lines.filter((l) => !lost.includes(l));
  }

  private async handInAll(due: Picture[], epoch: string) {
    const { store, site } = this.around;
    let left = due.filter((l) => l.own).length;
    for (let i = 0; i < due.length; i += QUESTION) {
      const some = due.slice(i, i + QUESTION);
      const lacks = await server.photoLacks(site, some.map((l) => l.file));
      for (const line of some) {
        if (!this.on || this.over) return;
        const have = lacks[line.file];
        const no = have === undefined ? undefined : await this.handIn(line, have);
        if (!no) await store.notePictures([{ ...line, sent: epoch }]);
        else if (no !== "spoilt") this.around.untaken(this.no.add(line.file).size, no);
        if (line.own) this.around.due(--left);
      }
    }
  }

  /** handIn sends the rest of a picture in pieces. It returns why the server does not want it, if so. */
  private async handIn(line: Picture, have: number): Promise<Trouble | "spoilt" | undefined> {
    const { store, site } = this.around;
    const bytes = await store.picture(site, line.file);
    if (!bytes || (await sha256(bytes)) !== line.file) {
      await store.dropPictures(site, [line.file]);
      return "spoilt";
    }
    for (let tries = 0; have < bytes.byteLength; ) {
      const before = have;
      try {
        have = await server.photoPiece(site, line.file, have, bytes.byteLength, bytes.slice(have, have + PIECE));
      } catch (e) {
        if (!(e instanceof Said)) throw e;
        if (e.status === 413 || e.status === 415) return e.trouble;
        if (e.status !== 409 && e.status !== 422) throw e; // no signal, no room, busy: later
        have = e.status === 409 ? (e.body as { have?: number }).have ?? 0 : 0;
      }
      if (have <= before && ++tries > 3) throw new Error("the server does not get on with a picture");
    }
    return undefined;
  }

  /** fetch brings a file, once though somebody looks at what is coming by itself. */
  private fetch(file: string, size = 0): Promise<ArrayBuffer> {
    const bytes = this.fetching.get(file) ?? this.bring(file, size).finally(() => this.fetching.delete(file));
    this.fetching.set(file, bytes);
    return bytes;
  }

  /** bring takes a large one in pieces. size is what somebody wrote down, so it may be wrong. */
  private async bring(file: string, size: number): Promise<ArrayBuffer> {
    const { store, site, now } = this.around;
    let bytes = size > COMING ? await this.inPieces(file, size) : await server.photo(site, file);
    if (size > COMING && (await sha256(bytes)) !== file) bytes = await server.photo(site, file);
    if ((await sha256(bytes)) !== file) throw new Error("the server sent other bytes than asked for");
    // A site that was closed meanwhile may be off this phone by now: nothing of it is kept.
    if (!this.over) await store.keepPictures([{ line: { site, file, at: now(), size: bytes.byteLength, own: false }, bytes }]);
    return bytes;
  }

  private async inPieces(file: string, size: number): Promise<ArrayBuffer> {
    const pieces = this.coming.get(file) ?? [];
    this.coming.set(file, pieces);
    for (let have = pieces.reduce((n, p) => n + p.byteLength, 0); have < size; ) {
      const piece = await server.photo(this.around.site, file, have, Math.min(have + COMING, size))
        .catch((e: unknown) => { if (e instanceof Said && e.status === 416) return new ArrayBuffer(0); throw e; }); // it ends before
      if (!piece.byteLength) break;
      pieces.push(piece);
      have += piece.byteLength;
    }
    this.coming.delete(file);
    return new Blob(pieces).arrayBuffer();
  }

  /** makeRoom lets the oldest fetched pictures go; they come again when somebody looks. */
  private async makeRoom(papers: Set<string>) {
    const { store, site } = this.around;
    const fetched = (await store.pictures(site)).filter((l) => !l.own && l.size > SMALL && !papers.has(l.file)).sort((a, b) => b.at - a.at);
    if (fetched.length > FETCHED) await store.dropPictures(site, fetched.slice(FETCHED).map((l) => l.file));
  }
}

/** comeAhead lists what comes to every phone by itself, with its size where somebody wrote it down: small copies, then papers. */
function comeAhead(files: FilesLine[]): [file: string, size?: number][] {
  const all: [string, number?][] = files.filter((f) => f.small).map((f) => [f.small]);
  if ((navigator as { connection?: { saveData?: boolean } }).connection?.saveData) return all; // every megabyte is paid for
  let room = AHEAD;
  for (const { file, paper, size = 0 } of files) if (paper && (room -= size) >= 0) all.push([file, size]);
  return all;
}

/** missing: the phone that has it has not handed it in yet. */
function missing(e: unknown) {
  if (!(e instanceof Said) || e.status !== 404) throw e;
}
