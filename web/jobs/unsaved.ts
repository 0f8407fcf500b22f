/** What this page holds of the jobs: edits and photos that are not stored yet, and what it showed last. */
import type { Answers } from "../wizard/questions";
import { type Edit, replay } from "./edits";
import type { JobRecord, Photo } from "./record";
import { setTrouble } from "./trouble";

/** The edits of one job that are not known to be stored, those that were refused, and the record they were made on. */
export type Waiting = { base: JobRecord; edits: Edit[]; refused: Set<Edit> };

/** A photo that is not known to be stored, or to be gone. */
export type WaitingPhoto = { photo: Photo; gone: boolean; refused: boolean };

const MOST_SEEN = 500;
export let lineOf: (job: Answers) => string = () => "";
export const waiting = new Map<string, Waiting>();
export const waitingPhotos = new Map<string, WaitingPhoto>();

/** The records given out last, for the time when the storage cannot be read. */
export const seen = new Map<string, JobRecord>();

/** Records that this page still has and the storage has no more. */
export const removed = new Map<string, JobRecord>();

export let removedPhotos: Photo[] = [];

/** The photos given out last, as long as a screen holds them. */
let shownPhotos: WeakRef<Photo[]> | null = null;

/** Remembers the photos that are given out. */
export function showPhotos(photos: Photo[]): void {
  shownPhotos = new WeakRef(photos);
}

/** How a job is named in one line, once the questions are known. */
export function sayLinesWith(words: (job: Answers) => string): void {
  lineOf = words;
}

export type Unsaved = { record: JobRecord; paths: string[]; signature: boolean; photos: number };

/** What is on the screen and not on the disk, job by job. */
export function unsavedJobs(): Unsaved[] {
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
export function hasRefused(): boolean {
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

/** The stored jobs were deleted under the page: what it showed last stays, until the person says what to do with it. */
export function keepWhatIsShown(): void {
  for (const [id, record] of seen) if (!waiting.has(id)) removed.set(id, record);
  removedPhotos = (shownPhotos?.deref() ?? []).filter(({ id }) => !waitingPhotos.has(id));
  if (removed.size !== 0) setTrouble("removed");
}

/** What this page still has of a storage that was removed, which it then holds no more. */
export function takeRemoved(): { records: JobRecord[]; photos: Photo[] } {
  const taken = { records: [...removed.values()], photos: removedPhotos };
  removed.clear();
  removedPhotos = [];
  return taken;
}

/** Remembers a record that is given out. */
export function see(record: JobRecord): JobRecord {
  seen.delete(record.id);
  seen.set(record.id, record);
  const oldest = seen.size > MOST_SEEN ? seen.keys().next().value : undefined;
  if (oldest !== undefined) seen.delete(oldest);
  return record;
}

/** A stored record with what is not stored yet. */
export function withEdits(stored: JobRecord): JobRecord {
  const mine = waiting.get(stored.id);
  if (!mine) return see(stored);
  if (stored.revision >= mine.base.revision) mine.base = stored;
  return see(mine.edits.reduce((before, edit) => replay(before, edit, lineOf), mine.base));
}
