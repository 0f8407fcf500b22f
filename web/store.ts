/** Jobs, photos and settings in IndexedDB. Every answer is one durable transaction; a failed write stays visible in memory. */
import { openDB, type DBSchema, type IDBPDatabase } from "idb";
import { write, type Answers } from "./wizard";

export type SavedResult = { id: string; revision: number; engine: string; result: Answers };

export type JobRecord = {
  id: string;
  revision: number;
  changed: number;
  job: Answers;
  drafts: { [path: string]: string };
  line: string;
  overall: { verdict: string; text: string; revision: number } | null;
  signature: { name: string; data_url: string; when: string } | null;
  deleted: number | null;
};

export type Photo = {
  id: string;
  job_id: string;
  check: string;
  name: string;
  type: string;
  bytes: ArrayBuffer;
};

export type StorageTrouble = "missing" | "full" | "failed" | "old_tab" | "silent";

interface Schema extends DBSchema {
  jobs: { key: string; value: JobRecord; indexes: { changed: number } };
  results: { key: string; value: SavedResult };
  photos: { key: string; value: Photo; indexes: { job_id: string } };
  settings: { key: string; value: unknown };
}

const DAY = 86_400_000;
const KEPT_DAYS = 30;
/** Patience with a storage that does not answer, before the app says so and goes on without it. */
const SILENCE_MS = 10_000;

let database: IDBPDatabase<Schema> | null = null;
let trouble: StorageTrouble | null = null;
const unsaved = new Map<string, JobRecord>();
const memoryResults = new Map<string, SavedResult>();
const unsavedPhotos = new Map<string, Photo>();
const memorySettings = new Map<string, unknown>();
const listeners = new Set<(id: string | null) => void>();
const channel = typeof BroadcastChannel === "undefined" ? null : new BroadcastChannel("platepath");

if (channel) channel.onmessage = (event: MessageEvent<string | null>) => tell(event.data);

function tell(id: string | null): void {
  for (const listener of listeners) listener(id);
}

function changed(id: string | null): void {
  tell(id);
  channel?.postMessage(id);
}

/** Calls back when a job changes in this tab or another; null stands for the storage state. */
export function onChange(listener: (id: string | null) => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

export function storageTrouble(): StorageTrouble | null {
  return trouble;
}

/** Whether something on the screen is not on the disk. */
export function hasUnsaved(): boolean {
  return unsaved.size + unsavedPhotos.size !== 0;
}

function setTrouble(next: StorageTrouble | null): void {
  if (trouble === next) return;
  trouble = next;
  tell(null);
}

/** Thrown when the storage does not answer. */
class Silence extends Error {}

/** The answer of the storage; when it comes too late, what was kept in memory meanwhile is written. */
async function answered<T>(work: Promise<T>): Promise<T> {
  let timer: ReturnType<typeof setTimeout> | undefined;
  const silence = new Promise<never>((_, reject) => {
    timer = setTimeout(() => {
      reject(new Silence());
      work.then(retryUnsaved, () => undefined);
    }, SILENCE_MS);
  });
  try {
    return await Promise.race([work, silence]);
  } finally {
    clearTimeout(timer);
  }
}

function nameTrouble(error: unknown): StorageTrouble {
  if (error instanceof Silence) return "silent";
  return error instanceof DOMException && error.name === "QuotaExceededError" ? "full" : "failed";
}

let opening: Promise<void> | null = null;

/** Opens the database; without one the jobs live in memory and the trouble says so. */
export async function openStore(): Promise<void> {
  opening ??= connect().finally(() => {
    opening = null;
  });
  await answered(opening).catch(() => setTrouble("silent"));
}

async function connect(): Promise<void> {
  try {
    database = await openDB<Schema>("platepath", 1, {
      upgrade(fresh) {
        fresh.createObjectStore("jobs", { keyPath: "id" }).createIndex("changed", "changed");
        fresh.createObjectStore("results", { keyPath: "id" });
        fresh.createObjectStore("photos", { keyPath: "id" }).createIndex("job_id", "job_id");
        fresh.createObjectStore("settings");
      },
      blocking(_current, _next, event) {
        (event.target as IDBDatabase).close();
        database = null;
        setTrouble("old_tab");
      },
      terminated() {
        database = null;
        setTrouble("failed");
      },
    });
  } catch (error) {
    database = null;
    setTrouble(error instanceof DOMException && error.name === "VersionError" ? "old_tab" : "missing");
    return;
  }
  // Nobody waits for it; a record that stands in its way is shown where the jobs are listed.
  void removeOldDeleted().catch(() => undefined);
}

async function removeOldDeleted(): Promise<void> {
  if (!database) return;
  const limit = Date.now() - KEPT_DAYS * DAY;
  const old: unknown[] = await database.getAllFromIndex(
    "jobs",
    "changed",
    IDBKeyRange.upperBound(limit),
    BATCH,
  );
  for (const record of old)
    if (isWhole(record) && record.deleted && record.deleted < limit) await eraseJob(record.id);
}

function isWhole(record: unknown): record is JobRecord {
  if (typeof record !== "object" || record === null) return false;
  const candidate = record as Partial<JobRecord>;
  return (
    typeof candidate.id === "string" &&
    typeof candidate.revision === "number" &&
    typeof candidate.changed === "number" &&
    typeof candidate.drafts === "object" &&
    candidate.drafts !== null &&
    typeof candidate.job === "object" &&
    candidate.job !== null &&
    !Array.isArray(candidate.job)
  );
}

export function newId(): string {
  return Array.from(crypto.getRandomValues(new Uint8Array(10)), (byte) =>
    byte.toString(36).padStart(2, "0"),
  ).join("");
}

/** Starts a job record and saves it. */
export async function createJob(job: Answers, line: string): Promise<JobRecord> {
  const record: JobRecord = {
    id: newId(),
    revision: 1,
    changed: Date.now(),
    job,
    drafts: {},
    line,
    overall: null,
    signature: null,
    deleted: null,
  };
  await change(record, (before) => before);
  return record;
}

/** One job, or a damaged record as it was found, or null. */
export async function getJob(id: string): Promise<JobRecord | { damaged: unknown } | null> {
  const held = unsaved.get(id);
  if (held) return held;
  if (!database) return null;
  try {
    const record: unknown = await answered(database.get("jobs", id));
    if (record === undefined) return null;
    return isWhole(record) ? record : { damaged: record };
  } catch (error) {
    if (!(error instanceof Silence)) return { damaged: String(error) };
    setTrouble("silent");
    return null;
  }
}

/**
 * Changes one job inside one transaction, so that two tabs never overwrite each other's answers.
 * When the disk refuses, the changed record is kept in memory, shown as unsaved and tried again with the next change.
 */
export async function change(
  shown: JobRecord,
  edit: (before: JobRecord) => JobRecord,
  how: { quiet?: boolean } = {},
): Promise<JobRecord> {
  const held = unsaved.get(shown.id);
  let after: JobRecord | null = null;
  try {
    if (!database) throw trouble;
    const durability = how.quiet ? "relaxed" : "strict";
    const transaction = database.transaction("jobs", "readwrite", { durability });
    const before = held ?? (await answered(transaction.store.get(shown.id))) ?? shown;
    after = edit(before);
    await answered(Promise.all([transaction.store.put(after), transaction.done]));
    unsaved.delete(shown.id);
    if (!hasUnsaved()) setTrouble(null);
  } catch (error) {
    after ??= edit(held ?? shown);
    unsaved.set(shown.id, after);
    if (database) setTrouble(nameTrouble(error));
  }
  if (!how.quiet) changed(shown.id);
  return after;
}

/** Saves one answer. The draft of the same field goes, because it has become the answer. */
export function answer(
  shown: JobRecord,
  path: string,
  value: unknown,
  line: (job: Answers) => string,
): Promise<JobRecord> {
  return change(shown, (before) => {
    const job = write(before.job, path, value);
    const drafts = Object.fromEntries(Object.entries(before.drafts).filter(([key]) => key !== path));
    return { ...before, job, drafts, line: line(job), revision: before.revision + 1, changed: Date.now() };
  });
}

/** Keeps what is typed but not yet an answer. */
export function keepDraft(shown: JobRecord, path: string, text: string): Promise<JobRecord> {
  return change(shown, (before) => ({ ...before, drafts: { ...before.drafts, [path]: text } }), {
    quiet: true,
  });
}

/** Keeps the last result beside the job, and its overall word for the list. */
export async function keepResult(shown: JobRecord, saved: SavedResult): Promise<void> {
  memoryResults.set(shown.id, saved);
  try {
    if (database) await answered(database.put("results", saved));
  } catch (error) {
    setTrouble(nameTrouble(error));
  }
  const { verdict, text } = saved.result["overall"] as { verdict: string; text: string };
  await change(shown, (before) => ({ ...before, overall: { verdict, text, revision: saved.revision } }));
}

export async function getResult(id: string): Promise<SavedResult | null> {
  const held = memoryResults.get(id);
  const kept = database && (await answered(database.get("results", id)).catch(() => undefined));
  if (held && (!kept || kept.revision <= held.revision)) return held;
  return kept ?? null;
}

export type Listing = { jobs: JobRecord[]; more: boolean };

const BATCH = 200;

/** Walks all records, newest first, until told to stop. */
async function walk(visit: (record: unknown, key: string) => boolean): Promise<void> {
  if (!database) return;
  const index = database.transaction("jobs").store.index("changed");
  let cursor = await answered(index.openCursor(null, "prev"));
  while (cursor) {
    if (!visit(cursor.value, cursor.primaryKey)) return;
    cursor = await answered(cursor.continue());
  }
}

/** The newest jobs first, those whose text has all the search words. */
export async function listJobs(search: string, count: number, deleted = false): Promise<Listing> {
  const words = search.toLowerCase().split(/\s+/).filter(Boolean);
  const listing: Listing = { jobs: [], more: false };
  const fits = (record: JobRecord): boolean => {
    if (Boolean(record.deleted) !== deleted) return false;
    const named = ["name", "place", "person", "date"].map((field) => record.job[field] ?? "");
    const text = [...named, record.line].join(" ").toLowerCase();
    return words.every((word) => text.includes(word));
  };
  for (const record of unsaved.values()) if (fits(record)) listing.jobs.push(record);
  try {
    await walk((record, key) => {
      if (unsaved.has(key) || !isWhole(record) || !fits(record)) return true;
      listing.more = listing.jobs.length === count;
      if (!listing.more) listing.jobs.push(record);
      return !listing.more;
    });
  } catch (error) {
    setTrouble(nameTrouble(error));
  }
  listing.jobs.sort((left, right) => right.changed - left.changed);
  return listing;
}

export type Damaged = { id: string; record: unknown };

/** Records that cannot be read as jobs; nothing is repaired in silence, they are shown and can be saved as they are. */
export async function findDamaged(): Promise<Damaged[]> {
  const damaged: Damaged[] = [];
  if (!database) return damaged;
  let after: IDBKeyRange | null = null;
  for (;;) {
    const records: unknown[] = await database.getAll("jobs", after, BATCH);
    const keys: string[] = await database.getAllKeys("jobs", after, BATCH);
    keys.forEach((id, index) => {
      if (!isWhole(records[index])) damaged.push({ id, record: records[index] });
    });
    const last = keys.at(-1);
    if (last === undefined || keys.length !== BATCH) return damaged;
    after = IDBKeyRange.lowerBound(last, true);
  }
}

/** All jobs that are not deleted, for one file of everything. */
export async function allJobs(): Promise<Answers[]> {
  const jobs = [...unsaved.values()].filter((record) => !record.deleted).map((record) => record.job);
  await walk((record, key) => {
    if (isWhole(record) && !record.deleted && !unsaved.has(key)) jobs.push(record.job);
    return true;
  });
  return jobs;
}

export function setDeleted(shown: JobRecord, deleted: boolean): Promise<JobRecord> {
  return change(shown, (before) => ({ ...before, deleted: deleted ? Date.now() : null }));
}

/** Removes a record and its photos for good. */
export async function eraseJob(id: string): Promise<void> {
  unsaved.delete(id);
  memoryResults.delete(id);
  for (const photo of unsavedPhotos.values()) if (photo.job_id === id) unsavedPhotos.delete(photo.id);
  if (database) {
    const transaction = database.transaction(["jobs", "photos", "results"], "readwrite");
    await transaction.objectStore("jobs").delete(id);
    await transaction.objectStore("results").delete(id);
    for (const key of await transaction.objectStore("photos").index("job_id").getAllKeys(id))
      await transaction.objectStore("photos").delete(key);
    await transaction.done;
  }
  changed(id);
}

export async function addPhoto(photo: Photo): Promise<void> {
  unsavedPhotos.set(photo.id, photo);
  if (database) {
    try {
      const transaction = database.transaction("photos", "readwrite", { durability: "strict" });
      await answered(Promise.all([transaction.store.put(photo), transaction.done]));
      unsavedPhotos.delete(photo.id);
    } catch (error) {
      setTrouble(nameTrouble(error));
    }
  }
  changed(photo.job_id);
}

export async function removePhoto(photo: Photo): Promise<void> {
  unsavedPhotos.delete(photo.id);
  if (database) await database.delete("photos", photo.id);
  changed(photo.job_id);
}

export async function photosOf(job_id: string): Promise<Photo[]> {
  const held = [...unsavedPhotos.values()].filter((photo) => photo.job_id === job_id);
  const kept = database ? await database.getAllFromIndex("photos", "job_id", job_id) : [];
  return [...kept, ...held.filter((photo) => !kept.some((other) => other.id === photo.id))];
}

/** Copies the photos of one job to another. */
export async function copyPhotos(from: string, to: string): Promise<void> {
  for (const photo of await photosOf(from)) await addPhoto({ ...photo, id: newId(), job_id: to });
}

export async function getSetting<T>(key: string, otherwise: T): Promise<T> {
  if (memorySettings.has(key)) return memorySettings.get(key) as T;
  if (!database) return otherwise;
  const value = await answered(database.get("settings", key)).catch(() => undefined);
  return value === undefined ? otherwise : (value as T);
}

export async function setSetting(key: string, value: unknown): Promise<void> {
  memorySettings.set(key, value);
  if (!database) return;
  await answered(database.put("settings", value, key)).catch((error: unknown) =>
    setTrouble(nameTrouble(error)),
  );
}

/** Tries again to write what the disk refused. */
export async function retryUnsaved(): Promise<boolean> {
  if (!database) await openStore();
  for (const record of [...unsaved.values()]) await change(record, (before) => before);
  for (const photo of [...unsavedPhotos.values()]) await addPhoto(photo);
  if (database && !hasUnsaved()) setTrouble(null);
  return !hasUnsaved();
}

/** Asks the browser to keep the data when the phone is short of space; unasked only once, because some ask the person. */
export async function askPersistence(unasked = false): Promise<void> {
  try {
    if (unasked && (await getSetting("asked_to_keep", false))) return;
    await setSetting("asked_to_keep", true);
    if (await navigator.storage?.persisted?.()) return;
    await navigator.storage?.persist?.();
  } catch {
    return;
  }
}

export type StorageState = { used: number | null; quota: number | null; persisted: boolean | null };

export async function storageState(): Promise<StorageState> {
  try {
    const estimate = await navigator.storage?.estimate?.();
    const persisted = (await navigator.storage?.persisted?.()) ?? null;
    return { used: estimate?.usage ?? null, quota: estimate?.quota ?? null, persisted };
  } catch {
    return { used: null, quota: null, persisted: null };
  }
}
