/** The last result of each job. */
import { answered, inStore, reading, toStore } from "./database";
import { editJob } from "./jobs";
import type { JobRecord, SavedResult } from "./record";
import { fail } from "./trouble";
import { waiting } from "./unsaved";

/** The results since the start, for when the storage does not take them. */
export const memoryResults = new Map<string, SavedResult>();

/** Keeps the last result beside the job, and its overall word for the list. */
export async function keepResult(shown: JobRecord, saved: SavedResult): Promise<void> {
  memoryResults.set(shown.id, saved);
  try {
    // The storage must know no result of answers that are only on this screen.
    if (!waiting.has(shown.id)) await toStore((open) => answered(open.put("results", saved)));
  } catch (error) {
    fail(error);
  }
  const { verdict, text } = saved.result.overall;
  await editJob(shown, { overall: { verdict, text, revision: saved.revision } });
}

export async function getResult(id: string): Promise<SavedResult | null> {
  const held = memoryResults.get(id);
  const kept = await inStore((open) => answered(reading(open, "results").get(id))).catch(() => undefined);
  if (held && (!kept || kept.revision <= held.revision)) return held;
  return kept ?? null;
}
