/** The jobs of a file, stored all at once or not at all. */
import type { Answers } from "../wizard/questions";
import { changed } from "./changes";
import { answered, type Database, toStore, writing, written } from "./database";
import { createJob } from "./jobs";
import { freshRecord, isWhole, type JobRecord } from "./record";
import { getSetting, memorySettings, setSetting } from "./settings";
import { fail, NotOpen } from "./trouble";

/** Patience with a storage that takes many jobs in one transaction. */
const LONG_SILENCE_MS = 60_000;

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
