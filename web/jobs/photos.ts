/** The photos of a job. */
import { changed } from "./changes";
import {
  answered,
  database,
  hasReserve,
  inStore,
  reading,
  settle,
  toStore,
  writing,
  written,
} from "./database";
import { newId, type Photo } from "./record";
import { fail, noRoom, trouble } from "./trouble";
import { removedPhotos, showPhotos, type WaitingPhoto, waitingPhotos } from "./unsaved";

export async function addPhoto(photo: Photo): Promise<void> {
  await keepPhoto({ photo, gone: false, refused: false });
}

export async function removePhoto(photo: Photo): Promise<void> {
  await keepPhoto({ photo, gone: true, refused: false });
}

export async function keepPhoto(mine: WaitingPhoto): Promise<void> {
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
  showPhotos(photos);
  return photos;
}

/** Copies the photos of one job to another. */
export async function copyPhotos(from: string, to: string): Promise<void> {
  for (const photo of await photosOf(from)) await addPhoto({ ...photo, id: newId(), job_id: to });
}
