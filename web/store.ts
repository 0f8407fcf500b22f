/**
 * Jobs, photos and settings in IndexedDB. What a person does is an edit, written in one durable transaction that replays
 * it on the record as it is stored by then. An edit that the storage refuses stays in memory, and in a second place where
 * there is one, is shown as not saved, and is replayed until it is. All that reads or changes the state of what is stored
 * stands in this one module; room on the disk is kept by reserve.ts.
 */
import { openDB, type DBSchema, type IDBPDatabase } from "idb";
import { replay, timeOf, type Edit, type JobRecord, type Words } from "./edits";
import type { Answers } from "./wizard";

export type { JobRecord };
export type SavedResult = { id: string; revision: number; engine: string; result: Answers };

export type Photo = {
  id: string;
  job_id: string;
  check: string;
  name: string;
  type: string;
  bytes: ArrayBuffer;
};

/** Why not everything is kept: see the words of the same names. */
export type StorageTrouble = "missing" | "full" | "failed" | "lost" | "removed" | "old_tab" | "silent";

interface Schema extends DBSchema {
  jobs: { key: string; value: JobRecord; indexes: { changed: number } };
  results: { key: string; value: SavedResult };
  photos: { key: string; value: Photo; indexes: { job_id: string } };
  settings: { key: string; value: unknown };
}

type Database = IDBPDatabase<Schema>;
type StoreName = "jobs" | "results" | "photos" | "settings";

/** The edits of one job that are not known to be stored, those that were refused, and the record they were made on. */
type Waiting = { base: JobRecord; edits: Edit[]; refused: Set<Edit> };
/** A photo that is not known to be stored, or to be gone. */
type WaitingPhoto = { photo: Photo; gone: boolean; refused: boolean };

const DAY = 86_400_000;
const KEPT_DAYS = 30;
/** On so many different days a start must find the 30 days over: one wrong clock erases nothing. */
const DAYS_THAT_AGREE = 3;
/** Patience with a storage that does not answer, before the app says so and goes on without it. */
const SILENCE_MS = 10_000;
/** The same for many jobs in one transaction. */
const LONG_SILENCE_MS = 60_000;
const AGAIN_MS = 60_000;
/** What can wait until the first screen is drawn. */
const LATER_MS = 2_000;
const MOST_SEEN = 500;
const SECOND_PLACE = "platepath.unsaved.";
/** What a browser says when the connection, not the request, is at fault. */
const CONNECTION_FAULTS = ["InvalidStateError", "AbortError", "UnknownError"];

let database: Database | null = null;
let wasOpen = false;
/** Whether the disk may have cut short what was written last: see reserve.ts. */
let isCutShort = false;
/** The look, before the first write, whether one was cut short before this page. */
let sound: Promise<void> | null = null;
/** Whether the disk had no room for the reserve. */
let isTight = false;
let trouble: StorageTrouble | null = null;
let lineOf: (job: Answers) => string = () => "";
let lastEdit = 0;
const waiting = new Map<string, Waiting>();
const waitingPhotos = new Map<string, WaitingPhoto>();
/** The writing of drafts that is under way, by job. */
const drafting = new Map<string, Promise<void>>();
/** The records given out last, for the time when the storage cannot be read. */
const seen = new Map<string, JobRecord>();
/** Records that this page still has and the storage has no more. */
const removed = new Map<string, JobRecord>();
let removedPhotos: Photo[] = [];
/** The photos given out last, as long as a screen holds them. */
let shownPhotos: WeakRef<Photo[]> | null = null;
const memoryResults = new Map<string, SavedResult>();
const memorySettings = new Map<string, unknown>();
const listeners = new Set<(id: string | null) => void>();
const channel = new BroadcastChannel("platepath");
const tab = newId();

channel.onmessage = (event: MessageEvent<string | null>) => tell(event.data);

function tell(id: string | null): void {
  for (const listener of listeners) listener(id);
}

function changed(id: string | null): void {
  tell(id);
  channel.postMessage(id);
}

/** Calls back when a job changes in this tab or another; null stands for the storage state and for many jobs. */
export function onChange(listener: (id: string | null) => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}

/** How a job is named in one line, once the questions are known. */
export function sayLinesWith(words: (job: Answers) => string): void {
  lineOf = words;
}

export function storageTrouble(): StorageTrouble | null {
  return trouble;
}

export type Unsaved = { record: JobRecord; paths: string[]; signature: boolean; photos: number };

/** What is on the screen and not on the disk, job by job. */
export function unsaved(): Unsaved[] {
  const found = new Map<string, Unsaved>();
  for (const [id, { base, edits, refused }] of waiting) {
    if (refused.size === 0) continue;
    const paths = edits.flatMap((edit) => Object.keys({ ...edit.answers, ...edit.drafts }));
    const signature = edits.some((edit) => edit.signature !== undefined);
    const record = edits.reduce((before, edit) => replay(before, edit, lineOf), base);
    found.set(id, { record, paths: [...new Set(paths)], signature, photos: 0 });
  }
  for (const { photo, refused } of waitingPhotos.values()) {
    const record = seen.get(photo.job_id);
    if (!refused || !record) continue;
    const mine = found.get(photo.job_id) ?? { record, paths: [], signature: false, photos: 0 };
    found.set(photo.job_id, { ...mine, photos: mine.photos + 1 });
  }
  return [...found.values()];
}

/** Whether something that was refused waits for another try. */
function hasRefused(): boolean {
  return (
    [...waiting.values()].some(({ refused }) => refused.size !== 0) ||
    [...waitingPhotos.values()].some(({ refused }) => refused)
  );
}

/** Whether something on the screen is not on the disk. */
export function hasUnsaved(): boolean {
  return hasRefused() || removed.size !== 0;
}

/** How many jobs this page still has of a storage that was removed. */
export function removedCount(): number {
  return removed.size;
}

function setTrouble(next: StorageTrouble | null): void {
  if (trouble === next) return;
  trouble = next;
  tell(null);
}

/** The trouble is over once the storage is open and nothing is missing from it. */
function settle(): void {
  if (database && !hasUnsaved()) setTrouble(null);
}

/** Thrown when the storage does not answer. */
class Silence extends Error {}
/** Thrown when there is no storage; the trouble says why. */
class NotOpen extends Error {}

/** The answer of the storage; when it comes too late, what was kept in memory meanwhile is written. */
async function answered<T>(work: Promise<T>, patience = SILENCE_MS): Promise<T> {
  let timer: ReturnType<typeof setTimeout> | undefined;
  const silence = new Promise<never>((_, reject) => {
    timer = setTimeout(() => {
      reject(new Silence());
      work.then(
        () => retryUnsaved(),
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

function nameOf(error: unknown): string {
  return error instanceof DOMException ? error.name : "";
}

function fail(error: unknown): void {
  if (error instanceof NotOpen) return;
  if (error instanceof Silence) setTrouble("silent");
  else if (nameOf(error) === "QuotaExceededError") setTrouble("full");
  else if (CONNECTION_FAULTS.includes(nameOf(error))) {
    setTrouble("lost");
    // A disk without room breaks the connection too.
    void reserve()
      .then(({ makeRoom }) => makeRoom())
      .then(
        (there) => there || trouble !== "lost" || setTrouble("full"),
        () => undefined,
      );
  } else setTrouble("failed");
  if (isShort())
    void reserve().then(
      ({ giveBack }) => giveBack(),
      () => undefined,
    );
}

/** Whether the trouble is, or may be, that the disk has no room. */
function isShort(): boolean {
  return trouble === "full" || trouble === "failed";
}

/** Comes in when it is needed, which is not at the start. */
function reserve(): Promise<typeof import("./reserve")> {
  return import("./reserve");
}

function noRoom(): DOMException {
  return new DOMException("no room on the disk", "QuotaExceededError");
}

/** Sees to it that nothing is written behind what was cut short. Throws where the disk has no room for that. */
async function mend(): Promise<void> {
  if (!(await (await reserve()).mendLog())) throw noRoom();
}

/** Work that writes, on a log that is whole. */
async function toStore<T>(work: (open: Database) => Promise<T>): Promise<T> {
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
function hasReserve(): Promise<boolean> {
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
let isStarted = false;

/** Opens the database; without one the jobs live in memory and the trouble says so. */
export async function openStore(): Promise<void> {
  if (!isStarted) setTimeout(afterStart, LATER_MS);
  isStarted = true;
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
        if (next === null) void openStore();
        else setTrouble("old_tab");
      },
      terminated() {
        isGone();
        isCutShort = true;
        void openStore();
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
  if (hasUnsaved()) void retryUnsaved();
  else settle();
}

/** The stored jobs were deleted under the page: what it showed last stays, until the person says what to do with it. */
function keepWhatIsShown(): void {
  for (const [id, record] of seen) if (!waiting.has(id)) removed.set(id, record);
  removedPhotos = (shownPhotos?.deref() ?? []).filter(({ id }) => !waitingPhotos.has(id));
  if (removed.size !== 0) setTrouble("removed");
}

/** Nobody waits for any of this; a record that stands in its way is shown where the jobs are listed. */
function afterStart(): void {
  void takeUpUnsaved().catch(() => undefined);
  void emptyBin().catch(() => undefined);
  // On a disk that is full it would not come in, nor would the place for its files.
  void reserve()
    .then(({ isKept }) => isKept())
    .catch(() => undefined);
  setInterval(() => {
    // Each try of a photo that does not fit takes the last bytes of the disk; only the person asks for that.
    if (hasRefused()) void retryUnsaved(!isShort());
    else if (database && !isTight) void hasReserve();
  }, AGAIN_MS);
}

async function opened(): Promise<Database> {
  if (!database) {
    // It was waited for once; what is asked meanwhile need not wait again.
    if (opening && trouble === "silent") throw new Silence();
    await openStore();
  }
  if (!database) throw new NotOpen();
  return database;
}

/** Works on the database. A connection that was lost is opened again and the work done once more. */
async function inStore<T>(work: (open: Database) => Promise<T>): Promise<T> {
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
function writing<Name extends StoreName>(open: Database, ...names: Name[]) {
  const transaction = open.transaction(names, "readwrite", { durability: "strict" });
  // Its end is waited for after its requests; one of them may fail first.
  transaction.done.catch(() => undefined);
  return transaction;
}

/** One store to read from. A connection that ends says so at the request; the transaction need not say it again. */
function reading<Name extends StoreName>(open: Database, name: Name) {
  const transaction = open.transaction(name);
  transaction.done.catch(() => undefined);
  return transaction.store;
}

/** Waits until everything is written. Throws the cause; that the rest was aborted for it is none. */
async function written(transaction: { done: Promise<void> }, ...requests: Promise<unknown>[]): Promise<void> {
  const ends = await Promise.allSettled([...requests, transaction.done]);
  const failures = ends.flatMap((end) => (end.status === "rejected" ? [end.reason as unknown] : []));
  if (failures.length === 0) return;
  throw failures.find((failure) => nameOf(failure) !== "AbortError") ?? failures[0];
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

function see(record: JobRecord): JobRecord {
  seen.delete(record.id);
  seen.set(record.id, record);
  const oldest = seen.size > MOST_SEEN ? seen.keys().next().value : undefined;
  if (oldest !== undefined) seen.delete(oldest);
  return record;
}

/** A stored record with what is not stored yet. */
function withEdits(stored: JobRecord): JobRecord {
  const mine = waiting.get(stored.id);
  if (!mine) return see(stored);
  if (stored.revision >= mine.base.revision) mine.base = stored;
  return see(mine.edits.reduce((before, edit) => replay(before, edit, lineOf), mine.base));
}

function freshRecord(job: Answers, line: string): JobRecord {
  const parts = { drafts: {}, overall: null, signature: null, deleted: null };
  return { id: newId(), revision: 1, changed: Date.now(), job, line, ...parts };
}

/** Starts a job record and saves it. */
export function createJob(job: Answers, line: string): Promise<JobRecord> {
  return edit(freshRecord(job, line), {});
}

/** A job as it is stored and edited; damaged as it was found; unread, when the storage cannot say; or none. */
export type Found = JobRecord | { damaged: unknown } | { unread: true } | null;

export async function getJob(id: string): Promise<Found> {
  try {
    const stored: unknown = await inStore((open) => answered(reading(open, "jobs").get(id)));
    if (isWhole(stored)) return withEdits(stored);
    if (stored !== undefined) return { damaged: stored };
    const mine = waiting.get(id);
    return mine ? withEdits(mine.base) : (removed.get(id) ?? null);
  } catch (error) {
    const mine = waiting.get(id)?.base ?? seen.get(id);
    if (!mine && database && !(error instanceof Silence)) return { damaged: String(error) };
    fail(error);
    return mine ? withEdits(mine) : { unread: true };
  }
}

/** Does something to a job: written at once, and kept until it is. Gives the record as it is then. */
export async function edit(shown: JobRecord, words: Words): Promise<JobRecord> {
  addEdit(shown, words);
  const after = await flush(shown.id);
  changed(shown.id);
  return after;
}

function addEdit(shown: JobRecord, words: Words): void {
  const { id } = shown;
  const mine = waiting.get(id) ?? { base: seen.get(id) ?? shown, edits: [], refused: new Set<Edit>() };
  waiting.set(id, mine);
  removed.delete(id);
  const known = withEdits(mine.base);
  lastEdit = Math.max(lastEdit + 1, timeOf(words, Date.now(), [shown, known]));
  mine.edits.push({ ...words, at: lastEdit });
}

/** Replays a job's waiting edits on what is stored, in one transaction, so that two tabs never overwrite each other. */
async function flush(id: string): Promise<JobRecord> {
  const mine = waiting.get(id);
  if (!mine) throw new Error("a job without edits is not written");
  const edits = [...mine.edits];
  try {
    const after = await toStore((open) => answered(replayStored(open, mine.base, edits)));
    mine.base = after;
    mine.edits = mine.edits.filter((edit) => !edits.includes(edit));
    const wasRefused = mine.refused.size !== 0;
    for (const edit of edits) mine.refused.delete(edit);
    if (mine.edits.length === 0 && waiting.get(id) === mine) waiting.delete(id);
    if (wasRefused && mine.refused.size === 0) forgetSecondPlace(id);
    settle();
    return withEdits(after);
  } catch (error) {
    for (const edit of edits) if (mine.edits.includes(edit)) mine.refused.add(edit);
    if (mine.refused.size !== 0) keepInSecondPlace(id, mine);
    fail(error);
    return withEdits(mine.base);
  }
}

async function replayStored(open: Database, base: JobRecord, edits: Edit[]): Promise<JobRecord> {
  const transaction = writing(open, "jobs");
  const store = transaction.objectStore("jobs");
  const stored: unknown = await store.get(base.id);
  if (stored !== undefined && !isWhole(stored)) throw new Error("the stored record is damaged");
  // A result that comes late does not bring back a job that was erased meanwhile.
  if (!stored && edits.every((edit) => edit.overall)) return base;
  const after = edits.reduce((before, edit) => replay(before, edit, lineOf), stored ?? base);
  await written(transaction, store.put(after));
  return after;
}

/** Saves one answer. The draft of the same field goes, because it has become the answer. */
export function answer(shown: JobRecord, path: string, value: unknown): Promise<JobRecord> {
  return edit(shown, { answers: { [path]: value } });
}

/** Keeps what is typed but not yet an answer; of what is typed while the last is being written, the newest. */
export async function keepDraft(shown: JobRecord, path: string, text: string): Promise<void> {
  const { id } = shown;
  addEdit(shown, { drafts: { [path]: text } });
  const mine = waiting.get(id);
  if (!mine) return;
  const isOlder = (edit: Edit, index: number): boolean =>
    index < mine.edits.length - 1 && Object.keys(edit).length === 2 && edit.drafts?.[path] !== undefined;
  const older = mine.edits.filter(isOlder);
  mine.edits = mine.edits.filter((edit) => !older.includes(edit));
  for (const edit of older) mine.refused.delete(edit);
  let work = drafting.get(id);
  if (!work) {
    work = flushDrafts(id).finally(() => drafting.delete(id));
    drafting.set(id, work);
  }
  await work;
}

async function flushDrafts(id: string): Promise<void> {
  do await flush(id);
  while (waiting.get(id)?.edits.some((edit) => !waiting.get(id)?.refused.has(edit)));
}

/** Keeps the last result beside the job, and its overall word for the list. */
export async function keepResult(shown: JobRecord, saved: SavedResult): Promise<void> {
  memoryResults.set(shown.id, saved);
  try {
    // The storage must know no result of answers that are only on this screen.
    if (!waiting.has(shown.id)) await toStore((open) => answered(open.put("results", saved)));
  } catch (error) {
    fail(error);
  }
  const { verdict, text } = saved.result["overall"] as { verdict: string; text: string };
  await edit(shown, { overall: { verdict, text, revision: saved.revision } });
}

export async function getResult(id: string): Promise<SavedResult | null> {
  const held = memoryResults.get(id);
  const kept = await inStore((open) => answered(reading(open, "results").get(id))).catch(() => undefined);
  if (held && (!kept || kept.revision <= held.revision)) return held;
  return kept ?? null;
}

export type Listing = { jobs: JobRecord[]; more: boolean };

const BATCH = 200;

/** Walks all records, newest first, until told to stop. */
async function walk(open: Database, visit: (record: unknown, key: string) => boolean): Promise<void> {
  const index = reading(open, "jobs").index("changed");
  let cursor = await answered(index.openCursor(null, "prev"));
  while (cursor) {
    if (!visit(cursor.value, cursor.primaryKey)) return;
    cursor = await answered(cursor.continue());
  }
}

/** What is not in the storage, or cannot be read there now. */
function besidesStored(isRead: boolean): JobRecord[] {
  const shown = new Map(isRead ? removed : [...seen, ...removed]);
  for (const [id, mine] of waiting) shown.set(id, withEdits(mine.base));
  return [...shown.values()];
}

/** Walks the whole records but those: what is written during the walk is no longer waiting, and must not be met twice. */
function walkOthers(
  open: Database,
  those: JobRecord[],
  visit: (record: JobRecord) => boolean,
): Promise<void> {
  const met = new Set(those.map(({ id }) => id));
  return walk(open, (record, key) => met.has(key) || !isWhole(record) || visit(record));
}

/** The newest jobs first, those whose text has all the search words. */
export async function listJobs(search: string, count: number, deleted = false): Promise<Listing> {
  const words = search.toLowerCase().split(/\s+/).filter(Boolean);
  const fits = (record: JobRecord): boolean => {
    if (Boolean(record.deleted) !== deleted) return false;
    const named = ["name", "place", "person", "date"].map((field) => record.job[field] ?? "");
    const text = [...named, record.line].join(" ").toLowerCase();
    return words.every((word) => text.includes(word));
  };
  let listing: Listing;
  try {
    listing = await inStore(async (open) => {
      const beside = besidesStored(true);
      const found: Listing = { jobs: beside.filter(fits), more: false };
      await walkOthers(open, beside, (record) => {
        if (!fits(record)) return true;
        found.more = found.jobs.length >= count;
        if (!found.more) found.jobs.push(see(record));
        return !found.more;
      });
      return found;
    });
  } catch (error) {
    fail(error);
    listing = { jobs: besidesStored(false).filter(fits), more: false };
  }
  listing.jobs.sort((left, right) => right.changed - left.changed);
  return listing;
}

export type Damaged = { id: string; record: unknown };

/** Records that cannot be read as jobs; nothing is repaired in silence, they are shown and can be saved as they are. */
export function findDamaged(): Promise<Damaged[]> {
  return inStore(async (open) => {
    const damaged: Damaged[] = [];
    let after: IDBKeyRange | null = null;
    for (;;) {
      const records: unknown[] = await reading(open, "jobs").getAll(after, BATCH);
      const keys: string[] = await reading(open, "jobs").getAllKeys(after, BATCH);
      keys.forEach((id, index) => {
        if (!isWhole(records[index])) damaged.push({ id, record: records[index] });
      });
      const last = keys.at(-1);
      if (last === undefined || keys.length !== BATCH) return damaged;
      after = IDBKeyRange.lowerBound(last, true);
    }
  });
}

/** All jobs that are not deleted, for one file of everything, and whether the storage could be read for it. */
export async function allJobs(): Promise<{ jobs: Answers[]; isWhole: boolean }> {
  const jobsOf = (records: JobRecord[]): Answers[] =>
    records.filter((record) => !record.deleted).map((record) => record.job);
  try {
    const records = await inStore(async (open) => {
      const all = besidesStored(true);
      await walkOthers(open, all, (record) => {
        all.push(record);
        return true;
      });
      return all;
    });
    return { jobs: jobsOf(records), isWhole: true };
  } catch (error) {
    fail(error);
    return { jobs: jobsOf(besidesStored(false)), isWhole: false };
  }
}

export function setDeleted(shown: JobRecord, deleted: boolean): Promise<JobRecord> {
  return edit(shown, { deleted: deleted ? Date.now() : null });
}

/** Same text for the same job, whatever the order of its parts. */
function sameText(part: unknown): string {
  if (typeof part !== "object" || part === null) return JSON.stringify(part) ?? "null";
  if (Array.isArray(part)) return `[${part.map(sameText).join()}]`;
  const entries = Object.entries(part).sort(([left], [right]) => (left < right ? -1 : 1));
  return `{${entries.map(([name, value]) => `${JSON.stringify(name)}:${sameText(value)}`).join()}}`;
}

export type Opened = { fresh: JobRecord[]; known: JobRecord[] };

/**
 * Stores many jobs in one transaction: all of them or none. One that is here already, the same in every answer, is not
 * stored again. Throws what the storage says when it does not take them.
 */
export async function importJobs(jobs: { job: Answers; line: string }[]): Promise<Opened> {
  let told: Opened;
  try {
    told = await toStore((open) => answered(importInto(open, jobs), LONG_SILENCE_MS));
  } catch (error) {
    if (!(error instanceof NotOpen)) {
      fail(error);
      throw error;
    }
    // Where nothing is kept at all, they are on the screen like everything else.
    told = { fresh: [], known: [] };
    for (const { job, line } of jobs) told.fresh.push(await createJob(job, line));
  }
  memorySettings.delete(IMPORTING);
  changed(null);
  return told;
}

async function importInto(open: Database, jobs: { job: Answers; line: string }[]): Promise<Opened> {
  const coming = new Map<string, { job: Answers; line: string }[]>();
  for (const item of jobs) {
    const text = sameText(item.job);
    const same = coming.get(text);
    if (same) same.push(item);
    else coming.set(text, [item]);
  }
  const transaction = writing(open, "jobs", "settings");
  const store = transaction.objectStore("jobs");
  const known: JobRecord[] = [];
  for (let cursor = await store.openCursor(); cursor; cursor = await cursor.continue()) {
    const record: unknown = cursor.value;
    if (!isWhole(record) || record.deleted) continue;
    if (coming.get(sameText(record.job))?.pop()) known.push(record);
  }
  const left = new Set([...coming.values()].flat());
  const fresh = jobs.filter((item) => left.has(item)).map(({ job, line }) => freshRecord(job, line));
  // The last of the file stands first in the list, as if they had been opened one after the other.
  for (const [index, record] of fresh.entries()) record.changed += index - fresh.length;
  const over = transaction.objectStore("settings").delete(IMPORTING);
  await written(transaction, over, ...fresh.map((record) => store.put(record)));
  return { fresh, known };
}

const IMPORTING = "importing";

/** Notes that a file is being opened, until its jobs are stored: whoever starts the app next can say that it was not. */
export function noteImport(name: string | null): Promise<void> {
  return setSetting(IMPORTING, name);
}

export function isImporting(): boolean {
  return (memorySettings.get(IMPORTING) ?? null) !== null;
}

/** The file that was being opened when the app was closed. None of its jobs were stored. Asked once. */
export async function brokenImport(): Promise<string | null> {
  const name = await getSetting<string | null>(IMPORTING, null);
  if (name !== null) await noteImport(null);
  return name;
}

/** Removes a record and its photos for good, if it is still deleted where that is asked for. */
export async function eraseJob(id: string, onlyDeleted = false): Promise<void> {
  try {
    const isErased = await toStore(async (open) => {
      const transaction = writing(open, "jobs", "photos", "results");
      const stored: unknown = await transaction.objectStore("jobs").get(id);
      if (onlyDeleted && !(isWhole(stored) && stored.deleted)) return false;
      const photos = transaction.objectStore("photos");
      const keys = await photos.index("job_id").getAllKeys(id);
      await written(
        transaction,
        transaction.objectStore("jobs").delete(id),
        transaction.objectStore("results").delete(id),
        ...keys.map((key) => photos.delete(key)),
      );
      return true;
    });
    if (!isErased) return;
  } catch (error) {
    fail(error);
    if (!(error instanceof NotOpen)) return;
  }
  for (const kept of [waiting, seen, removed, memoryResults]) kept.delete(id);
  for (const { photo } of waitingPhotos.values()) if (photo.job_id === id) waitingPhotos.delete(photo.id);
  changed(id);
}

type Bin = { day: number; due: { [id: string]: number } };

/**
 * Erases what was deleted 30 days ago, once so many starts on different days in a row have found it so. It goes through
 * all jobs, once a day.
 *
 * @public called by its tests with a clock of their own
 */
export async function emptyBin(now = Date.now()): Promise<void> {
  const day = Math.floor(now / DAY);
  const before = await getSetting<Bin>("bin", { day: 0, due: {} });
  if (before.day === day) return;
  const limit = now - KEPT_DAYS * DAY;
  const due: Bin["due"] = {};
  await inStore(async (open) => {
    const index = reading(open, "jobs").index("changed");
    let cursor = await index.openCursor(IDBKeyRange.upperBound(limit));
    for (; cursor; cursor = await cursor.continue()) {
      const record: unknown = cursor.value;
      if (isWhole(record) && record.deleted && record.deleted < limit)
        due[record.id] = (before.due[record.id] ?? 0) + 1;
    }
  });
  await setSetting("bin", { day, due });
  for (const [id, days] of Object.entries(due)) if (days >= DAYS_THAT_AGREE) await eraseJob(id, true);
}

export async function addPhoto(photo: Photo): Promise<void> {
  await keepPhoto({ photo, gone: false, refused: false });
}

export async function removePhoto(photo: Photo): Promise<void> {
  await keepPhoto({ photo, gone: true, refused: false });
}

async function keepPhoto(mine: WaitingPhoto): Promise<void> {
  const { photo, gone } = mine;
  waitingPhotos.set(photo.id, mine);
  try {
    // The reserve is for answers: no photo is tried without it.
    if (!gone && database && !(await hasReserve())) throw noRoom();
    // It may have been removed meanwhile.
    if (waitingPhotos.get(photo.id) !== mine) return;
    await toStore((open) => {
      // While a photo does not fit there is no room for anything else: it is written alone, whichever tab writes it.
      const transaction = writing(open, "jobs", "results", "photos", "settings");
      const store = transaction.objectStore("photos");
      return answered(written(transaction, gone ? store.delete(photo.id) : store.put(photo)));
    });
    if (waitingPhotos.get(photo.id) === mine) waitingPhotos.delete(photo.id);
    settle();
  } catch (error) {
    mine.refused = true;
    fail(error);
  }
  changed(photo.job_id);
}

/** The photos of a job. Throws when they cannot be read, so that nobody takes them for none. */
export async function photosOf(job_id: string): Promise<Photo[]> {
  const mine = [...waitingPhotos.values()].filter(({ photo }) => photo.job_id === job_id);
  let kept: Photo[] = [];
  try {
    kept = await inStore((open) => answered(reading(open, "photos").index("job_id").getAll(job_id)));
  } catch (error) {
    fail(error);
    if (trouble !== "missing") throw error;
  }
  const lost = removedPhotos.filter((photo) => photo.job_id === job_id);
  // A photo that is being written is shown once it is stored, or once that was refused.
  const known = mine.filter(({ gone, refused }) => gone || refused);
  const stored = [...kept, ...lost].filter(({ id }) => !known.some(({ photo }) => photo.id === id));
  const photos = [...stored, ...known.filter(({ gone }) => !gone).map(({ photo }) => photo)];
  shownPhotos = new WeakRef(photos);
  return photos;
}

/** Copies the photos of one job to another. */
export async function copyPhotos(from: string, to: string): Promise<void> {
  for (const photo of await photosOf(from)) await addPhoto({ ...photo, id: newId(), job_id: to });
}

export async function getSetting<T>(key: string, otherwise: T): Promise<T> {
  if (memorySettings.has(key)) return memorySettings.get(key) as T;
  const value = await inStore((open) => answered(reading(open, "settings").get(key))).catch(() => undefined);
  return value === undefined ? otherwise : (value as T);
}

export async function setSetting(key: string, value: unknown): Promise<void> {
  memorySettings.set(key, value);
  await toStore((open) => answered(open.put("settings", value, key))).catch(fail);
}

let retrying: Promise<boolean> | null = null;

/** Tries again to write what the disk refused. */
export function retryUnsaved(withPhotos = true): Promise<boolean> {
  retrying ??= retryAll(withPhotos).finally(() => {
    retrying = null;
  });
  return retrying;
}

async function retryAll(withPhotos: boolean): Promise<boolean> {
  if (!database) await openStore();
  for (const id of [...waiting.keys()]) {
    if (waiting.has(id)) await flush(id);
    changed(id);
  }
  for (const mine of [...waitingPhotos.values()]) if (withPhotos || mine.gone) await keepPhoto({ ...mine });
  settle();
  return !hasUnsaved();
}

/** Puts the jobs that this page still has back into a storage that was removed, or lets them go. */
export async function settleRemoved(isWanted: boolean): Promise<void> {
  const records = [...removed.values()];
  const photos = removedPhotos;
  removed.clear();
  removedPhotos = [];
  for (const record of records)
    if (isWanted) addEdit(record, {});
    else seen.delete(record.id);
  if (isWanted) for (const photo of photos) await addPhoto(photo);
  await retryUnsaved();
  changed(null);
}

/** Refused edits lie in the browser's small storage too, where it takes them: a page that is closed loses them not. */
function keepInSecondPlace(id: string, { base, edits }: Waiting): void {
  try {
    localStorage.setItem(`${SECOND_PLACE}${id}.${tab}`, JSON.stringify({ base, edits }));
  } catch {
    return;
  }
}

function forgetSecondPlace(id: string): void {
  try {
    localStorage.removeItem(`${SECOND_PLACE}${id}.${tab}`);
  } catch {
    return;
  }
}

/** Takes up what was refused and not saved before a page was closed. One that is still open does the same; it does no harm. */
async function takeUpUnsaved(): Promise<void> {
  for (const key of Object.keys(localStorage).filter((name) => name.startsWith(SECOND_PLACE))) {
    if (key.endsWith(tab)) continue;
    const text = localStorage.getItem(key);
    const { base, edits } = JSON.parse(text ?? "{}") as Partial<Waiting>;
    if (!isWhole(base) || !Array.isArray(edits)) continue;
    const mine = waiting.get(base.id) ?? { base, edits: [], refused: new Set<Edit>() };
    mine.edits = [...edits, ...mine.edits];
    waiting.set(base.id, mine);
    await flush(base.id);
    // Its page may live and have added to it meanwhile.
    if (!waiting.has(base.id) && localStorage.getItem(key) === text) localStorage.removeItem(key);
    changed(base.id);
  }
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
