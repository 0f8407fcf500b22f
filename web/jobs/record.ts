/** A job as the phone keeps it, its last result and its photos; what tells a whole record from a damaged one. */
import type { Result } from "../generated/contract";
import type { Answers } from "../wizard/questions";

export type JobRecord = {
  id: string;
  /** Tells one state of the answers from another. It only grows, and two tabs never give the same one. */
  revision: number;
  changed: number;
  job: Answers;
  drafts: { [path: string]: string };
  line: string;
  overall: { verdict: string; text: string; revision: number } | null;
  signature: { name: string; data_url: string; when: string } | null;
  deleted: number | null;
  /** When each thing was last edited, in milliseconds. Records of older versions have none. */
  stamps?: { [thing: string]: number };
};

export type SavedResult = { id: string; revision: number; engine: string; result: Result };

export type Photo = {
  id: string;
  job_id: string;
  check: string;
  name: string;
  type: string;
  bytes: ArrayBuffer;
};

/** Whether something that was stored is a job with all its parts. */
export function isWhole(record: unknown): record is JobRecord {
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

/** A record of a job that nobody has edited. */
export function freshRecord(job: Answers, line: string): JobRecord {
  const parts = { drafts: {}, overall: null, signature: null, deleted: null };
  return { id: newId(), revision: 1, changed: Date.now(), job, line, ...parts };
}
