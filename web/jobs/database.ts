/** The connection to IndexedDB: opened, lost and opened again, and written to only on a log that is whole. */
import { type DBSchema, type IDBPDatabase, openDB } from "idb";
import type { JobRecord, Photo, SavedResult } from "./record";
import { CONNECTION_FAULTS, nameOf, noRoom, NotOpen, reserve, setTrouble, Silence, trouble } from "./trouble";
import { hasUnsaved, keepWhatIsShown } from "./unsaved";

interface Schema extends DBSchema {
  jobs: { key: string; value: JobRecord; indexes: { changed: number } };
  results: { key: string; value: SavedResult };
  photos: { key: string; value: Photo; indexes: { job_id: string } };
  settings: { key: string; value: unknown };
}

export type Database = IDBPDatabase<Schema>;

type StoreName = "jobs" | "results" | "photos" | "settings";

/** Patience with a storage that does not answer, before the app says so and goes on without it. */
const SILENCE_MS = 10_000;

export let database: Database | null = null;
let wasOpen = false;

/** Whether the disk may have cut short what was written last: see reserve.ts. */
let isCutShort = false;

/** The look, before the first write, whether one was cut short before this page. */
let sound: Promise<void> | null = null;

/** Whether the disk had no room for the reserve. */
export let isTight = false;

/** What is done once the storage answers again: what was kept in memory meanwhile is written. */
let back: () => void = () => undefined;

/** Calls back when a storage that was lost or silent answers again. */
export function onBack(act: () => void): void {
  back = act;
}

/** The trouble is over once the storage is open and nothing is missing from it. */
export function settle(): void {
  if (database && !hasUnsaved()) setTrouble(null);
}

/** The answer of the storage; when it comes too late, what was kept in memory meanwhile is written. */
export async function answered<T>(work: Promise<T>, patience = SILENCE_MS): Promise<T> {
  let timer: ReturnType<typeof setTimeout> | undefined;
  const silence = new Promise<never>((_, reject) => {
    timer = setTimeout(() => {
      reject(new Silence());
      work.then(
        () => back(),
        () => undefined,
      );
    }, patience);
  });
  try {
    return await Promise.race([work, silence]);
  } finally {
    clearTimeout(timer);
  }
}

/** Sees to it that nothing is written behind what was cut short. Throws where the disk has no room for that. */
async function mend(): Promise<void> {
  if (!(await (await reserve()).mendLog())) throw noRoom();
}

/** Work that writes, on a log that is whole. */
export async function toStore<T>(work: (open: Database) => Promise<T>): Promise<T> {
  return inStore(async (open) => {
    if (making) await answered(making);
    sound ??= reserve().then(
      ({ isKept }) => isKept().then((there) => (there ? undefined : mend())),
      () => undefined,
    );
    try {
      await answered(sound);
    } catch (error) {
      sound = null;
      throw error;
    }
    return work(open);
  });
}

/** The making of the reserve that is under way: where there is no room, it takes the last of it for a moment. */
let making: Promise<boolean> | null = null;

/** Whether the reserve is there, or can be made. */
export function hasReserve(): Promise<boolean> {
  making ??= reserve()
    .then(({ keepReserve }) => keepReserve())
    .catch(() => true)
    .then((there) => {
      making = null;
      isTight = !there;
      return there;
    });
  return making;
}

let opening: Promise<void> | null = null;

/** Opens the database; without one the jobs live in memory and the trouble says so. */
export async function openDatabase(): Promise<void> {
  opening ??= connect().finally(() => {
    opening = null;
  });
  await answered(opening).catch(() => setTrouble("silent"));
}

async function connect(): Promise<void> {
  let isNew = false;
  let mine: Database | null = null;
  const isGone = (): void => {
    if (database === mine) database = null;
  };
  try {
    if (isCutShort && !(await (await reserve()).makeRoom())) throw noRoom();
    mine = await openDB<Schema>("platepath", 1, {
      upgrade(fresh) {
        isNew = true;
        fresh.createObjectStore("jobs", { keyPath: "id" }).createIndex("changed", "changed");
        fresh.createObjectStore("results", { keyPath: "id" });
        fresh.createObjectStore("photos", { keyPath: "id" }).createIndex("job_id", "job_id");
        fresh.createObjectStore("settings");
      },
      blocking(_current, next, event) {
        (event.target as IDBDatabase).close();
        isGone();
        // Without a next version somebody deletes the database; opening waits for that and then finds out.
        if (next === null) void openDatabase();
        else setTrouble("old_tab");
      },
      terminated() {
        isGone();
        isCutShort = true;
        void openDatabase();
      },
    });
    if (isCutShort) await mend();
    isCutShort = false;
    if (isNew) sound = Promise.resolve();
  } catch (error) {
    mine?.close();
    database = null;
    if (nameOf(error) === "VersionError") setTrouble("old_tab");
    else if (nameOf(error) === "QuotaExceededError") setTrouble("full");
    else setTrouble(wasOpen ? "lost" : "missing");
    return;
  }
  database = mine;
  if (isNew && wasOpen) keepWhatIsShown();
  wasOpen = true;
  if (hasUnsaved()) back();
  else settle();
}

async function opened(): Promise<Database> {
  if (!database) {
    // It was waited for once; what is asked meanwhile need not wait again.
    if (opening && trouble === "silent") throw new Silence();
    await openDatabase();
  }
  if (!database) throw new NotOpen();
  return database;
}

/** Works on the database. A connection that was lost is opened again and the work done once more. */
export async function inStore<T>(work: (open: Database) => Promise<T>): Promise<T> {
  const first = await opened();
  try {
    return await work(first);
  } catch (error) {
    if (!CONNECTION_FAULTS.includes(nameOf(error))) throw error;
    if (database === first) {
      first.close();
      database = null;
      isCutShort = true;
    }
  }
  return work(await opened());
}

/** The only way to write what a person did: done means on the disk, not only with the system. */
export function writing<Name extends StoreName>(open: Database, ...names: Name[]) {
  const transaction = open.transaction(names, "readwrite", { durability: "strict" });
  // Its end is waited for after its requests; one of them may fail first.
  transaction.done.catch(() => undefined);
  return transaction;
}

/** One store to read from. A connection that ends says so at the request; the transaction need not say it again. */
export function reading<Name extends StoreName>(open: Database, name: Name) {
  const transaction = open.transaction(name);
  transaction.done.catch(() => undefined);
  return transaction.store;
}

/** Waits until everything is written. Throws the cause; that the rest was aborted for it is none. */
export async function written(
  transaction: { done: Promise<void> },
  ...requests: Promise<unknown>[]
): Promise<void> {
  const ends = await Promise.allSettled([...requests, transaction.done]);
  const failures = ends.flatMap((end) => (end.status === "rejected" ? [end.reason as unknown] : []));
  if (failures.length === 0) return;
  throw failures.find((failure) => nameOf(failure) !== "AbortError") ?? failures[0];
}
