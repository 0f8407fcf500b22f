/** From the start on: opens the storage, takes up what was left unsaved, and tries again until all is stored. */
import { emptyBin } from "./bin";
import { changed } from "./changes";
import { database, hasReserve, isTight, onBack, openDatabase, settle } from "./database";
import type { Edit } from "./edits";
import { addEdit, flush } from "./jobs";
import { addPhoto, keepPhoto } from "./photos";
import { isWhole } from "./record";
import { SECOND_PLACE, tab } from "./second_place";
import { isShort, reserve } from "./trouble";
import { hasRefused, hasUnsaved, seen, takeRemoved, type Waiting, waiting, waitingPhotos } from "./unsaved";

const AGAIN_MS = 60_000;

/** What can wait until the first screen is drawn. */
const LATER_MS = 2_000;

/** Opens the storage with the start of the app, and keeps at it as long as the app is open. */
export async function openStore(): Promise<void> {
  setTimeout(afterStart, LATER_MS);
  onBack(() => void retryUnsaved());
  await openDatabase();
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

let retrying: Promise<boolean> | null = null;

/** Tries again to write what the disk refused. */
export function retryUnsaved(withPhotos = true): Promise<boolean> {
  retrying ??= retryAll(withPhotos).finally(() => {
    retrying = null;
  });
  return retrying;
}

async function retryAll(withPhotos: boolean): Promise<boolean> {
  if (!database) await openDatabase();
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
  const { records, photos } = takeRemoved();
  for (const record of records)
    if (isWanted) addEdit(record, {});
    else seen.delete(record.id);
  if (isWanted) for (const photo of photos) await addPhoto(photo);
  await retryUnsaved();
  changed(null);
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
