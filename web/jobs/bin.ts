/** What was deleted: erased for good by a person, or by the calendar after 30 days. */
import { changed } from "./changes";
import { inStore, reading, toStore, writing, written } from "./database";
import { isWhole } from "./record";
import { memoryResults } from "./results";
import { getSetting, setSetting } from "./settings";
import { fail, NotOpen } from "./trouble";
import { removed, seen, waiting, waitingPhotos } from "./unsaved";

const DAY = 86_400_000;
const KEPT_DAYS = 30;

/** On so many different days a start must find the 30 days over: one wrong clock erases nothing. */
const DAYS_THAT_AGREE = 3;

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
