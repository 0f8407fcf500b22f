/**
 * A few megabytes that the app holds in reserve, in files of its own, and gives back once a write finds no room, so that
 * answers still fit. No figure that a browser tells of the disk is of use; the only test for room is to write.
 *
 * Chromium keeps IndexedDB in a log. A disk that is full cuts the last entry short. The next start writes behind that
 * half entry, and the start after that finds the log damaged and deletes all that the site has stored. So whenever a
 * write may have been cut short, the log is mended before anything else is written. Browsers without these files keep
 * no such log.
 */
const RESERVE = "reserve";

const TRIAL = "trial";
const SCRATCH = "platepath.scratch";

/** Small files: what one of them took of a disk without room stays taken until the browser tidies up. */
const PIECE_BYTES = 262_144;

const RESERVE_PIECES = 16;

/** What the log needs to begin anew, and the next answers. */
const ROOM_PIECES = 4;

/** The most random bytes that a browser gives at a time. */
const RANDOM_BYTES = 65_536;

/** The folder for the site's files; null where this browser has none that a page can write to. */
async function folder(): Promise<FileSystemDirectoryHandle | null> {
  try {
    const place = await navigator.storage.getDirectory();
    return "createWritable" in FileSystemFileHandle.prototype ? place : null;
  } catch {
    return null;
  }
}

async function remove(name: string): Promise<void> {
  const place = await folder();
  await place?.removeEntry(name, { recursive: true }).catch(() => undefined);
}

/** Bytes that no disk can make smaller. */
function noise(): Blob {
  const parts = Array.from({ length: PIECE_BYTES / RANDOM_BYTES }, () =>
    crypto.getRandomValues(new Uint8Array(RANDOM_BYTES)),
  );
  return new Blob(parts);
}

/**
 * Fills a folder with so many pieces. Without room for all of them, none is left and the answer is no. What is refused
 * for another reason tells little of the disk, and is answered as asked.
 */
async function fill(name: string, pieces: number, otherwise = true): Promise<boolean> {
  try {
    const inside = await (await folder())?.getDirectoryHandle(name, { create: true });
    for (let piece = 0; inside && piece < pieces; piece += 1) {
      const stream = await (await inside.getFileHandle(`${piece}`, { create: true })).createWritable();
      await stream.write(noise());
      await stream.close();
    }
    return true;
  } catch (error) {
    await remove(name);
    return otherwise && !(error instanceof DOMException && error.name === "QuotaExceededError");
  }
}

/** Whether the reserve is whole; as long as it is, no write was cut short. */
export async function isKept(): Promise<boolean> {
  const place = await folder();
  if (!place) return true;
  const inside = await place.getDirectoryHandle(RESERVE).catch(() => null);
  return Boolean(await inside?.getFileHandle(`${RESERVE_PIECES - 1}`).catch(() => null));
}

/** Tries it in a folder of its own, since others may be trying too. */
async function hasRoom(otherwise = true): Promise<boolean> {
  const name = `${TRIAL}.${crypto.randomUUID()}`;
  const there = await fill(name, ROOM_PIECES, otherwise);
  await remove(name);
  return there;
}

/** Gives the room back to whatever has to be written now. */
export function giveBack(): Promise<void> {
  return remove(RESERVE);
}

/** Gives the room back; whether there is some now. On a disk that is full not even a folder can be made. */
export async function makeRoom(): Promise<boolean> {
  await giveBack();
  return hasRoom(false);
}

/** The end of a request; one that waits for another tab ends too. */
function ended<T>(request: IDBRequest<T>): Promise<T> {
  return new Promise((done, failed) => {
    request.onsuccess = () => done(request.result);
    request.onerror = () => failed(request.error);
  });
}

/**
 * Has Chromium begin its log anew, which it does when a database goes, however small; no, if the disk has no room for
 * that. Throws what the storage says.
 */
export async function mendLog(): Promise<boolean> {
  if (!(await folder())) return true;
  if (!(await hasRoom())) return false;
  const opening = indexedDB.open(SCRATCH);
  opening.onupgradeneeded = () => opening.result.createObjectStore(SCRATCH);
  (await ended(opening)).close();
  await ended(indexedDB.deleteDatabase(SCRATCH));
  return true;
}

/** Makes the reserve where it is missing; no, if the disk has no room for it. */
export async function keepReserve(): Promise<boolean> {
  if (await isKept()) return true;
  // The log is mended first: a reserve that is there says that it is whole.
  if ((await mendLog()) && (await fill(RESERVE, RESERVE_PIECES)) && (await hasRoom())) return true;
  await giveBack();
  return false;
}
