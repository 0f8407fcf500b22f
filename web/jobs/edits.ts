/**
 * What a person did to a job, as data: it can be refused, kept, and replayed on whatever record is stored by then.
 * Of two edits of the same thing the later one stands, in whichever order they are replayed and however often; so two
 * tabs, a refused write and a second try end with the same record. A library for documents that several people edit
 * would do the same with a log of its own; here a record stays one plain object that any file can hold.
 */
import { read, write } from "../wizard/paths";
import type { Answers } from "../wizard/questions";
import type { JobRecord } from "./record";

/** What an edit says; without any word it only says that the job is there. */
export type Words = {
  /** Answers by path; null is "don't know yet". */
  answers?: { [path: string]: unknown };
  /** What is typed but not yet an answer, by path. */
  drafts?: { [path: string]: string };
  signature?: JobRecord["signature"];
  deleted?: number | null;
  overall?: NonNullable<JobRecord["overall"]>;
  /** The whole job in the app's own format, in place of the one in the format named. */
  reformed?: { from: unknown; job: Answers };
};

export type Edit = Words & {
  /** When it was made, in milliseconds. */
  at: number;
};

const SIGNATURE = "@signature";
const DELETED = "@deleted";
const DRAFT = "@draft ";

/** The things an edit is about, by the names under which a record keeps their times. */
function thingsOf(words: Words): string[] {
  return [
    ...Object.keys(words.answers ?? {}),
    ...Object.keys(words.drafts ?? {}).flatMap((path) => [path, DRAFT + path]),
    ...(words.signature === undefined ? [] : [SIGNATURE]),
    ...(words.deleted === undefined ? [] : [DELETED]),
  ];
}

/** The time of an edit made now: later than all that its author can have seen of the same things, whatever the clock says. */
export function timeOf(words: Words, now: number, seen: JobRecord[]): number {
  const times = seen.flatMap(({ stamps = {} }) => thingsOf(words).map((thing) => stamps[thing] ?? 0));
  return Math.max(now, ...times.map((time) => time + 1));
}

/** The paths of the lists that a path leads through. */
function listsAbove(path: string): string[] {
  const names = path.split(".");
  return names.flatMap((name, at) => (/^\d+$/.test(name) ? [names.slice(0, at).join(".")] : []));
}

/** The record after an edit. One that it already holds, or that a later one has overtaken, changes nothing. */
export function replay(before: JobRecord, edit: Edit, lineOf: (job: Answers) => string): JobRecord {
  const after: JobRecord = { ...before, drafts: { ...before.drafts } };
  const stamps = { ...before.stamps };
  const isLater = (thing: string): boolean => edit.at > (stamps[thing] ?? 0);
  const takes = (thing: string): boolean => {
    const later = isLater(thing);
    if (later) stamps[thing] = edit.at;
    return later;
  };
  if (edit.reformed && edit.reformed.from === before.job["format"]) after.job = edit.reformed.job;
  for (const [path, value] of Object.entries(edit.answers ?? {})) {
    // What was said of one of a list is void once the list itself was changed later.
    if (listsAbove(path).some((list) => !isLater(list)) || !takes(path)) continue;
    const inside = Object.keys(stamps).filter((thing) => thing.replace(DRAFT, "").startsWith(`${path}.`));
    const later = inside.filter((thing) => (stamps[thing] ?? 0) > edit.at && !thing.startsWith(DRAFT));
    const said = later.map((thing) => [thing, read(after.job, thing)] as const);
    after.job = write(after.job, path, value);
    for (const thing of inside.filter((each) => (stamps[each] ?? 0) <= edit.at)) {
      delete stamps[thing];
      if (thing.startsWith(DRAFT)) delete after.drafts[thing.slice(DRAFT.length)];
    }
    for (const [thing, answer] of said) after.job = write(after.job, thing, answer);
    after.changed = Math.max(before.changed, edit.at);
    // The draft has become the answer; one typed later has not.
    if (isLater(DRAFT + path)) {
      delete after.drafts[path];
      delete stamps[DRAFT + path];
    }
  }
  for (const [path, text] of Object.entries(edit.drafts ?? {}))
    if (listsAbove(path).every(isLater) && isLater(path) && takes(DRAFT + path)) after.drafts[path] = text;
  if (edit.signature !== undefined && takes(SIGNATURE)) after.signature = edit.signature;
  if (edit.deleted !== undefined && takes(DELETED)) after.deleted = edit.deleted;
  // Nobody asked for a result of what lies in the bin.
  if (edit.overall && !before.deleted && edit.overall.revision >= (before.overall?.revision ?? 0))
    after.overall = edit.overall;
  if (after.job !== before.job) {
    after.line = lineOf(after.job);
    after.revision = Math.max(before.revision + 1, edit.at);
  }
  if (Object.keys(stamps).length !== 0) after.stamps = stamps;
  return after;
}
