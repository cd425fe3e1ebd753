// What this phone keeps. One database; every write that a person could miss is strict, so that the
// promise "saved on this phone" holds when the battery goes a second later.
//
// Several tabs may have it open. Only the one whose turn it is writes: claim counts the turn up, and
// every write looks at it in its own transaction. A tab that slept through somebody else's claim writes
// nothing, however late it wakes.
import { openDB, type DBSchema, type IDBPDatabase, type IDBPTransaction, type StoreNames } from "idb";
import type { SiteLine } from "./messages";
import { NotMyTurn } from "./tabs";

interface Op { site: string; d: number; s: number; raw: string }
interface Kept { site: string; meta?: string; names?: Record<string, string> }
/** Act is what an ask of a screen led to, kept with its operations so that it is never done twice. */
export interface Act { name: string; at: number; said?: string; added?: string }
/** Picture is what is known of a picture file; its bytes lie apart, so that a list of them is small. */
export interface Picture {
  site: string;
  file: string;
  at: number; // when it came, milliseconds since 1970
  size: number;
  own: boolean; // made on this phone, not fetched
  sent?: string; // the epoch of the server's store that has it
}

interface Tables extends DBSchema {
  sites: { key: string; value: SiteLine };
  ops: { key: [string, number, number]; value: Op };
  kept: { key: string; value: Kept };
  words: { key: string; value: unknown };
  acts: { key: string; value: Act };
  pictures: { key: [string, string]; value: Picture };
  bytes: { key: [string, string]; value: { site: string; file: string; bytes: ArrayBuffer } };
}

/** 2 has acts and pictures; what 1 kept stays as it is. */
const VERSION = 2;
const STRICT = { durability: "strict" } as const;
const ACT_LIFE = 24 * 3600_000;

type Writing<S extends StoreNames<Tables>> = IDBPTransaction<Tables, (S | "words")[], "readwrite">;
export const isFull = (e: unknown) => e instanceof DOMException && e.name === "QuotaExceededError";
const allOf = (site: string) => IDBKeyRange.bound([site, -Infinity], [site, []]);

export class Store {
  private turn = 0;
  /** due: the turn could not be written down, as the phone is full; the next write that fits does it. */
  private due = false;

  private constructor(private db: IDBPDatabase<Tables>) {}

  /** open calls gone when a newer version of the app wants the store, lost when the browser has closed it. */
  static async open(gone: () => void, lost: () => void): Promise<Store> {
    const db = await openDB<Tables>("batterboard", VERSION, {
      upgrade(db, from) {
        if (from < 1) {
          db.createObjectStore("sites", { keyPath: "id" });
          db.createObjectStore("ops", { keyPath: ["site", "d", "s"] });
          db.createObjectStore("kept", { keyPath: "site" });
          db.createObjectStore("words");
        }
        db.createObjectStore("acts", { keyPath: "name" });
        db.createObjectStore("pictures", { keyPath: ["site", "file"] });
        db.createObjectStore("bytes", { keyPath: ["site", "file"] });
      },
      // Another tab brings a newer version: let go at once, or it waits for ever.
      blocking() { db.close(); gone(); },
      terminated: lost,
    });
    return new Store(db);
  }

  close() { this.db.close(); }

  /** claim takes the turn: from here on no other tab's writes count. */
  async claim(now: number): Promise<number> {
    const tx = this.db.transaction(["words", "acts"], "readwrite", STRICT);
    const done = tx.done.then(() => false, (e: unknown) => { if (isFull(e)) return true; throw e; });
    const words = tx.objectStore("words"), acts = tx.objectStore("acts");
    this.turn = (((await words.get("turn")) as number | undefined) ?? 0) + 1;
    try {
      words.put(this.turn, "turn").catch(() => undefined);
      for (const act of await acts.getAll()) if (act.at < now - ACT_LIFE) void acts.delete(act.name);
    } catch (e) {
      if (!isFull(e) && !(e instanceof DOMException && e.name === "AbortError")) throw e;
    }
    this.due = await done;
    return this.turn;
  }

  /** write runs one transaction, all or nothing, if it is still this tab's turn. */
  private async write<S extends StoreNames<Tables>>(stores: S[], run: (tx: Writing<S>) => Promise<void> | void) {
    const tx = this.db.transaction([...stores, "words"] as (S | "words")[], "readwrite", STRICT) as Writing<S>;
    const words = (tx as unknown as Writing<never>).objectStore("words");
    const turn = ((await words.get("turn")) as number | undefined) ?? 0;
    if (this.due && turn === this.turn - 1) {
      words.put(this.turn, "turn").catch(() => undefined);
      tx.done.then(() => { this.due = false; }, () => undefined);
    } else if (turn !== this.turn) {
      tx.done.catch(() => undefined);
      tx.abort();
      throw new NotMyTurn("another tab of this phone has taken over");
    }
    await Promise.all([run(tx), tx.done]);
  }

  /** keep writes new operations, the engine's notes about them and the act they come from, before anybody sees them. */
  keep(site: string, raws: string[], meta: string | undefined, names: Record<string, string> | undefined, act?: Act) {
    return this.write(["ops", "kept", "acts"], async (tx) => {
      const ops = tx.objectStore("ops");
      for (const raw of raws) {
        const { d, s } = JSON.parse(raw) as { d: number; s: number };
        void ops.put({ site, d, s, raw });
      }
      if (act) void tx.objectStore("acts").put(act);
      if (meta !== undefined || names !== undefined) {
        const kept = tx.objectStore("kept");
        const was = (await kept.get(site)) ?? { site };
        void kept.put({ ...was, ...(meta !== undefined && { meta }), ...(names && { names: { ...was.names, ...names } }) });
      }
    });
  }

  /** act finds what an ask led to, if it led to anything that was kept. */
  act(name: string): Promise<Act | undefined> { return this.db.get("acts", name); }

  async load(site: string): Promise<{ raws: string[]; meta?: string; names?: Record<string, string> }> {
    const tx = this.db.transaction(["ops", "kept"]);
    const [ops, kept] = await Promise.all([tx.objectStore("ops").getAll(allOf(site)), tx.objectStore("kept").get(site)]);
    return { raws: ops.map((op) => op.raw), meta: kept?.meta, names: kept?.names };
  }

  sites(): Promise<SiteLine[]> { return this.db.getAll("sites"); }

  putSite(line: SiteLine) {
    return this.write(["sites"], (tx) => {
      void tx.objectStore("sites").put(line);
      return this.setOff(tx, line.id, false);
    });
  }

  /** off are the sites that somebody took off this phone. */
  async off(): Promise<string[]> { return (await this.word<string[]>("off")) ?? []; }

  private async setOff(tx: unknown, site: string, off: boolean) {
    const words = (tx as Writing<never>).objectStore("words");
    const others = (((await words.get("off")) as string[] | undefined) ?? []).filter((id) => id !== site);
    void words.put(off ? [...others, site] : others, "off");
  }

  /** forget takes a site off this phone: its line, its operations, the notes, the pictures. That it is off is remembered. */
  forget(site: string) {
    return this.write(["sites", "ops", "kept", "pictures", "bytes"], (tx) => {
      void tx.objectStore("sites").delete(site);
      void tx.objectStore("ops").delete(allOf(site));
      void tx.objectStore("kept").delete(site);
      void tx.objectStore("pictures").delete(allOf(site));
      void tx.objectStore("bytes").delete(allOf(site));
      return this.setOff(tx, site, true);
    });
  }

  async word<T>(key: string): Promise<T | undefined> { return (await this.db.get("words", key)) as T | undefined; }

  setWord(key: string, value: unknown) { return this.write(["words"], (tx) => void (tx as unknown as Writing<never>).objectStore("words").put(value, key)); }

  // ---- pictures

  pictures(site: string): Promise<Picture[]> { return this.db.getAll("pictures", allOf(site)); }

  async picture(site: string, file: string): Promise<ArrayBuffer | undefined> {
    return (await this.db.get("bytes", [site, file]))?.bytes;
  }

  /** keepPictures puts pictures on the phone; one that is there already stays whose it was. */
  keepPictures(list: { line: Picture; bytes: ArrayBuffer }[]) {
    return this.write(["pictures", "bytes"], async (tx) => {
      for (const { line, bytes } of list) {
        const was = await tx.objectStore("pictures").get([line.site, line.file]);
        if (was && (was.own || !line.own)) continue;
        void tx.objectStore("pictures").put(line);
        void tx.objectStore("bytes").put({ site: line.site, file: line.file, bytes });
      }
    });
  }

  notePictures(lines: Picture[]) {
    return this.write(["pictures"], (tx) => { for (const line of lines) void tx.objectStore("pictures").put(line); });
  }

  dropPictures(site: string, files: string[]) {
    return this.write(["pictures", "bytes"], (tx) => {
      for (const file of files) {
        void tx.objectStore("pictures").delete([site, file]);
        void tx.objectStore("bytes").delete([site, file]);
      }
    });
  }
}
