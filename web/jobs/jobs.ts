/**
 * One job, read and edited. What a person does is an edit, written in one durable transaction that replays it on the
 * record as it is stored by then. An edit that the storage refuses stays in memory, and in a second place where there is
 * one, is shown as not saved, and is replayed until it is.
 */
import type { Answers } from "../wizard/questions";
import { changed } from "./changes";
import {
  answered,
  type Database,
  database,
  inStore,
  reading,
  settle,
  toStore,
  writing,
  written,
} from "./database";
import { type Edit, replay, timeOf, type Words } from "./edits";
import { freshRecord, isWhole, type JobRecord } from "./record";
import { forgetSecondPlace, keepInSecondPlace } from "./second_place";
import { fail, Silence } from "./trouble";
import { lineOf, removed, seen, waiting, withEdits } from "./unsaved";

let lastEdit = 0;

/** The writing of drafts that is under way, by job. */
const drafting = new Map<string, Promise<void>>();

/** Starts a job record and saves it. */
export function createJob(job: Answers, line: string): Promise<JobRecord> {
  return editJob(freshRecord(job, line), {});
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
export async function editJob(shown: JobRecord, words: Words): Promise<JobRecord> {
  addEdit(shown, words);
  const after = await flush(shown.id);
  changed(shown.id);
  return after;
}

export function addEdit(shown: JobRecord, words: Words): void {
  const { id } = shown;
  const mine = waiting.get(id) ?? { base: seen.get(id) ?? shown, edits: [], refused: new Set<Edit>() };
  waiting.set(id, mine);
  removed.delete(id);
  const known = withEdits(mine.base);
  lastEdit = Math.max(lastEdit + 1, timeOf(words, Date.now(), [shown, known]));
  mine.edits.push({ ...words, at: lastEdit });
}

/** Replays a job's waiting edits on what is stored, in one transaction, so that two tabs never overwrite each other. */
export async function flush(id: string): Promise<JobRecord> {
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
export function saveAnswer(shown: JobRecord, path: string, value: unknown): Promise<JobRecord> {
  return editJob(shown, { answers: { [path]: value } });
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

export function setDeleted(shown: JobRecord, deleted: boolean): Promise<JobRecord> {
  return editJob(shown, { deleted: deleted ? Date.now() : null });
}
