// What this phone keeps. One database; every write that a person could miss is strict, so that the
// promise "saved on this phone" holds when the battery goes a second later.
import { openDB, type DBSchema, type IDBPDatabase } from "idb";
import type { SiteLine } from "./messages";

interface Op { site: string; d: number; s: number; raw: string }
interface Kept { site: string; meta?: string; names?: Record<string, string> }

interface Tables extends DBSchema {
  sites: { key: string; value: SiteLine };
  ops: { key: [string, number, number]; value: Op };
  kept: { key: string; value: Kept };
  words: { key: string; value: unknown };
}

const VERSION = 1;
const STRICT = { durability: "strict" } as const;

export class Store {
  private constructor(private db: IDBPDatabase<Tables>) {}

  static async open(gone: () => void): Promise<Store> {
    const db = await openDB<Tables>("batterboard", VERSION, {
      upgrade(db) {
        db.createObjectStore("sites", { keyPath: "id" });
        db.createObjectStore("ops", { keyPath: ["site", "d", "s"] });
        db.createObjectStore("kept", { keyPath: "site" });
        db.createObjectStore("words");
      },
      // Another tab brings a newer version: let go at once, or it waits for ever.
      blocking() { db.close(); gone(); },
      terminated: gone,
    });
    return new Store(db);
  }

  close() { this.db.close(); }

  /** keep writes new operations and the engine's notes about them, all or nothing, before anybody sees them. */
  async keep(site: string, raws: string[], meta: string | undefined, names: Record<string, string> | undefined) {
    const tx = this.db.transaction(["ops", "kept"], "readwrite", STRICT);
    const ops = tx.objectStore("ops");
    for (const raw of raws) {
      const { d, s } = JSON.parse(raw) as { d: number; s: number };
      void ops.put({ site, d, s, raw });
    }
    if (meta !== undefined || names !== undefined) {
      const kept = tx.objectStore("kept");
      const was = (await kept.get(site)) ?? { site };
      void kept.put({ ...was, ...(meta !== undefined && { meta }), ...(names && { names: { ...was.names, ...names } }) });
    }
    await tx.done;
  }

  async load(site: string): Promise<{ raws: string[]; meta?: string; names?: Record<string, string> }> {
    const tx = this.db.transaction(["ops", "kept"]);
    const [ops, kept] = await Promise.all([
      tx.objectStore("ops").getAll(IDBKeyRange.bound([site, -Infinity], [site, Infinity, Infinity])),
      tx.objectStore("kept").get(site),
    ]);
    return { raws: ops.map((op) => op.raw), meta: kept?.meta, names: kept?.names };
  }

  sites(): Promise<SiteLine[]> { return this.db.getAll("sites"); }

  async putSite(line: SiteLine) {
    const tx = this.db.transaction("sites", "readwrite", STRICT);
    await Promise.all([tx.store.put(line), tx.done]);
  }

  /** forget takes a site off this phone: its line, its operations, the notes. */
  async forget(site: string) {
    const tx = this.db.transaction(["sites", "ops", "kept"], "readwrite", STRICT);
    await Promise.all([
      tx.objectStore("sites").delete(site),
      tx.objectStore("ops").delete(IDBKeyRange.bound([site, -Infinity], [site, Infinity, Infinity])),
      tx.objectStore("kept").delete(site),
      tx.done,
    ]);
  }

  async word<T>(key: string): Promise<T | undefined> { return (await this.db.get("words", key)) as T | undefined; }

  async setWord(key: string, value: unknown) {
    const tx = this.db.transaction("words", "readwrite", STRICT);
    await Promise.all([tx.store.put(value, key), tx.done]);
  }
}
