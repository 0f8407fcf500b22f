// A phone with tabs for the tests of the store: the real store code, once per tab, over one database, on a clock of its own,
// with a storage that can refuse, hang, not answer, break off and be deleted.
import { readFileSync } from "node:fs";
import {
  forceCloseDatabase,
  IDBCursor,
  IDBDatabase,
  IDBFactory,
  IDBIndex,
  IDBKeyRange,
  IDBObjectStore,
  IDBOpenDBRequest,
  IDBRequest,
  IDBTransaction,
} from "fake-indexeddb";

// idb asks for these by name.
Object.assign(globalThis, { IDBCursor, IDBDatabase, IDBIndex, IDBKeyRange, IDBObjectStore, IDBOpenDBRequest, IDBRequest });
Object.assign(globalThis, { IDBTransaction });

const CODE = readFileSync(process.env["STORE"] ?? "", "utf8");
const START = Date.UTC(2026, 4, 4, 9);

/** All that keeps jobs, as bundle.py puts it together. */
type Store = typeof import("../../web/jobs/bin") &
  typeof import("../../web/jobs/changes") &
  typeof import("../../web/jobs/import_jobs") &
  typeof import("../../web/jobs/jobs") &
  typeof import("../../web/jobs/keeping") &
  typeof import("../../web/jobs/list") &
  typeof import("../../web/jobs/photos") &
  typeof import("../../web/jobs/results") &
  typeof import("../../web/jobs/settings") &
  typeof import("../../web/jobs/trouble") &
  typeof import("../../web/jobs/unsaved");

type Timer = { at: number; every: number | null; call: () => void; tab: Tab };
type Fake = { [name: string]: any };

/** What writes do: succeed, find no room at once or when the transaction ends, or fail for another reason. */
export type Refusal = "no" | "at_once" | "at_the_end" | "broken";

export class Phone {
  factory = new IDBFactory();
  now = START;
  /** Whether the storage begins no transaction, for nobody. */
  hangs = false;
  waitingStarts: (() => void)[] = [];
  /** The site's own files where the browser has them, and how many bytes the disk takes beside them. */
  files: Map<string, number> | null = null;
  room = Infinity;
  /** What was done to the disk and to the databases, in order, for who asks. */
  done: string[] = [];
  kept = new Map<string, string>();
  tabs: Tab[] = [];
  timers: Timer[] = [];

  open(): Tab {
    const tab = new Tab(this);
    this.tabs.push(tab);
    return tab;
  }

  living(): Tab[] {
    return this.tabs.filter((tab) => tab.isAlive);
  }

  goOn(): void {
    this.hangs = false;
    for (const begin of this.waitingStarts.splice(0)) begin();
  }

  /** Lets time pass, and what is due happen. */
  async pass(milliseconds: number): Promise<void> {
    const until = this.now + milliseconds;
    for (;;) {
      const due = this.timers.filter((timer) => timer.at <= until).sort((left, right) => left.at - right.at)[0];
      if (!due) break;
      this.now = Math.max(this.now, due.at);
      if (due.every === null) this.timers = this.timers.filter((timer) => timer !== due);
      else due.at += due.every;
      if (due.tab.isAlive) due.call();
      await ticks(20);
    }
    this.now = until;
    await ticks(20);
  }

  /** The stored record, read past all tabs. */
  async stored(store: string, key: string): Promise<any> {
    return (await this.all(store)).find((record) => record.id === key);
  }

  async all(store: string): Promise<any[]> {
    const open = await new Promise<any>((done) => {
      const asked = this.factory.open("platepath");
      asked.onsuccess = () => done(asked.result);
    });
    const found = await new Promise<any[]>((done) => {
      const asked = open.transaction(store).objectStore(store).getAll();
      asked.onsuccess = () => done(asked.result);
    });
    open.close();
    return found;
  }
}

/** Lets the event loop turn. */
export async function ticks(count: number): Promise<void> {
  for (let tick = 0; tick < count; tick += 1) await new Promise((done) => setImmediate(done));
}

export class Tab {
  isAlive = true;
  refusal: Refusal = "no";
  /** Whether it is not told of transactions that have ended. */
  isDeaf = false;
  /** Whether the database cannot be opened. */
  isBlocked = false;
  unheard: (() => void)[] = [];
  connections = new Set<Fake>();
  transactions = new Set<Fake>();
  /** Every writing transaction it began: the stores and the durability asked for. */
  writes: { stores: string[]; durability: string }[] = [];
  listener: ((event: { data: unknown }) => void) | null = null;
  /** How often it asked the browser to keep its data. */
  asked = 0;
  store: Store;

  constructor(readonly phone: Phone) {
    const names = { indexedDB: this.indexedDB(), BroadcastChannel: this.channel(), ...this.clock(), localStorage: this.small(), navigator: this.browser(), ...this.files() };
    const make = new Function(...Object.keys(names), `${CODE}\nreturn store;`);
    this.store = make(...Object.values(names)) as Store;
  }

  /** Ends it as a crash does: nothing of it happens any more. */
  die(): void {
    this.isAlive = false;
    this.breakOff();
  }

  /** The connection ends, as when the browser's storage process ends. */
  breakOff(): void {
    for (const transaction of this.transactions) if (transaction["_state"] !== "finished") transaction["_abort"]("AbortError");
    for (const connection of this.connections) forceCloseDatabase(connection as never);
    this.connections.clear();
    this.transactions.clear();
  }

  /** It is told what it was not told. */
  hear(): void {
    this.isDeaf = false;
    for (const tell of this.unheard.splice(0)) tell();
  }

  private indexedDB(): Fake {
    return {
      open: (name: string, version?: number): unknown => {
        if (this.isBlocked || !this.isAlive) throw new DOMException("blocked", "SecurityError");
        this.phone.done.push(`open ${name}`);
        const asked = this.phone.factory.open(name, version) as Fake;
        // The first to hear of it, before the store.
        asked["addEventListener"]("success", () => this.watch(asked["result"]));
        return asked;
      },
      deleteDatabase: (name: string): unknown => {
        this.phone.done.push(`delete ${name}`);
        return this.phone.factory.deleteDatabase(name);
      },
    };
  }

  private watch(connection: Fake): void {
    this.connections.add(connection);
    const begin = connection["transaction"].bind(connection);
    connection["transaction"] = (stores: string | string[], mode?: string, options?: { durability?: string }): unknown => {
      const begun = begin(stores, mode, options);
      if (mode === "readwrite") this.phone.done.push(`write ${[stores].flat().join()}`);
      if (mode === "readwrite") this.writes.push({ stores: [stores].flat(), durability: options?.durability ?? "default" });
      this.transactions.add(begun);
      this.holdBack(begun);
      return begun;
    };
  }

  private holdBack(transaction: Fake): void {
    const start = transaction["_start"].bind(transaction);
    transaction["_start"] = (): void => {
      transaction["_started"] = true;
      if (this.phone.hangs) this.phone.waitingStarts.push(() => transaction["_state"] !== "finished" && start());
      else start();
    };
    const listen = transaction["addEventListener"].bind(transaction);
    transaction["addEventListener"] = (type: string, call: (event: unknown) => void): void => {
      // Only what idb listens to: the database itself goes on.
      if (call.name !== "complete") listen(type, call);
      else
        listen(type, (event: unknown) => {
          if (this.isDeaf) this.unheard.push(() => call(event));
          else call(event);
        });
    };
    const objectStore = transaction["objectStore"].bind(transaction);
    transaction["objectStore"] = (name: string): unknown => {
      const store = objectStore(name) as Fake;
      if (Object.hasOwn(store, "put")) return store;
      const put = store["put"].bind(store);
      store["put"] = (...values: unknown[]): unknown => {
        if (this.refusal === "at_once") throw new DOMException("no room", "QuotaExceededError");
        if (this.refusal === "broken") throw new DOMException("the record cannot be written", "DataError");
        const asked = put(...values);
        if (this.refusal === "at_the_end")
          asked.addEventListener("success", () => transaction["_abort"]("QuotaExceededError"));
        return asked;
      };
      return store;
    };
  }

  private browser(): unknown {
    const persist = (): void => void (this.asked += 1);
    const getDirectory = async (): Promise<unknown> => {
      if (!this.isAlive) throw new Error("a closed tab has no files");
      return this.inside("");
    };
    const files = this.phone.files ? { getDirectory } : {};
    return { storage: { persisted: () => false, persist, estimate: () => ({ usage: 1, quota: 2 }), ...files } };
  }

  /** One folder of the site's own files: of a file, only its size is kept. */
  private inside(path: string): unknown {
    const { phone } = this;
    const files = phone.files as Map<string, number>;
    const there = (name: string, options?: { create?: boolean }): string => {
      const known = [...files.keys()].some((file) => file === path + name || file.startsWith(`${path}${name}/`));
      if (!known && !options?.create) throw new DOMException("no such file", "NotFoundError");
      return path + name;
    };
    return {
      getDirectoryHandle: async (name: string, options?: { create?: boolean }) => this.inside(`${there(name, options)}/`),
      getFileHandle: async (name: string, options?: { create?: boolean }) => {
        const file = there(name, options);
        let size = 0;
        const write = async (content: Blob): Promise<void> => {
          if (content.size > phone.room) throw new DOMException("no room", "QuotaExceededError");
          size += content.size;
          phone.room -= content.size;
        };
        return { createWritable: async () => ({ write, close: async () => void files.set(file, size) }) };
      },
      removeEntry: async (name: string) => {
        const place = there(name);
        const gone = [...files].filter(([file]) => file.startsWith(`${place}/`));
        for (const [file, size] of gone) {
          files.delete(file);
          phone.room += size;
        }
        phone.done.push(`remove ${name.split(".")[0]}`);
      },
    };
  }

  private files(): Fake {
    return this.phone.files ? { FileSystemFileHandle: { prototype: { createWritable: true } } } : {};
  }

  private channel(): unknown {
    const tab = this;
    return class {
      set onmessage(call: (event: { data: unknown }) => void) {
        tab.listener = call;
      }
      postMessage(data: unknown): void {
        if (!tab.isAlive) return;
        for (const other of tab.phone.living())
          if (other !== tab) setImmediate(() => other.isAlive && other.listener?.({ data }));
      }
    };
  }

  private clock(): Fake {
    const { phone } = this;
    const begin = (call: () => void, after: number, every: number | null): Timer => {
      const timer = { at: phone.now + after, every, call, tab: this };
      phone.timers.push(timer);
      return timer;
    };
    const end = (timer: Timer): void => {
      phone.timers = phone.timers.filter((one) => one !== timer);
    };
    return {
      setTimeout: (call: () => void, after: number) => begin(call, after, null),
      setInterval: (call: () => void, after: number) => begin(call, after, after),
      clearTimeout: end,
      clearInterval: end,
      Date: { now: () => phone.now },
    };
  }

  /** The browser's small storage, of which a test needs only what the store uses. */
  private small(): unknown {
    const { kept } = this.phone;
    const held = (): Map<string, string> => {
      if (!this.isAlive) throw new Error("a closed tab writes nothing");
      return kept;
    };
    const uses = {
      getItem: (key: string) => held().get(key) ?? null,
      setItem: (key: string, text: string) => void held().set(key, text),
      removeItem: (key: string) => void held().delete(key),
    };
    return new Proxy(uses, {
      ownKeys: () => [...held().keys()],
      getOwnPropertyDescriptor: () => ({ enumerable: true, configurable: true }),
    });
  }
}
