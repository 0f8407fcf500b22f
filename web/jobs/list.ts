/** Many jobs: the list with its search, all of them for one file, and those that cannot be read. */
import type { Answers } from "../wizard/questions";
import { answered, type Database, inStore, reading } from "./database";
import { isWhole, type JobRecord } from "./record";
import { fail } from "./trouble";
import { removed, see, seen, waiting, withEdits } from "./unsaved";

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
