// Holds every file against its hash, and fetches anew what is not whole.
import type { Findings, Version } from "../web/offline/messages";
import {
  bring,
  bringAll,
  brought,
  causeOf,
  isWhole,
  mending,
  renewed,
} from "./download";
import {
  current,
  FILE_CACHE,
  fileKey,
  forgetVersions,
  isRecorded,
  LOCK,
  OWN,
  record,
  serveFromNowOn,
  SNAPSHOT_CACHE,
  START_PAGE,
  version,
  versions,
} from "./kept";

declare const self: ServiceWorkerGlobalScope;

/** A page whose script runs says so long before. One that does not may have been given damaged files. */
const SILENCE_MS = 4_000;

let checking: Promise<Findings> | null = null;

export function check(): Promise<Findings> {
  return (checking ??= checkAndRenew().finally(() => (checking = null)));
}

async function checkAndRenew(): Promise<Findings> {
  await mending;
  const found = await checkServed();
  if (!found.lacking.length || !(await newerCame())) return found;
  // Its own files are no longer to be had, but a whole version came in their place.
  const again = await checkServed();
  return {
    ...again,
    mended: [...found.mended, ...again.mended],
  };
}

const checkServed = () =>
  navigator.locks.request(LOCK, { mode: "shared" }, async () => {
    const mended: string[] = [];
    try {
      await mendRecords();
      const served = (await version((await current()) ?? "")) ?? OWN;
      let found = await checkFiles(served, mended);
      // What cannot be made whole is not served where there is a whole one.
      if (found.lacking.length)
        for (const other of await versions())
          if (
            other.build !== served.build &&
            !(await checkFiles(other, [])).lacking.length
          ) {
            await serveFromNowOn(other.build);
            found = { ...found, lacking: [] };
            break;
          }
      // The version to come is made whole as well; whatever it lacks has time.
      if (served !== OWN) await checkFiles(OWN, mended);
      return { ...found, mended };
    } catch (problem) {
      return {
        mended,
        renewed: [],
        lacking: [FILE_CACHE],
        cause: causeOf(problem),
        detail: String(problem),
      };
    } finally {
      forgetVersions();
    }
  });

/** A record that cannot be read is worth nothing: this worker's own version stands in. */
async function mendRecords(): Promise<void> {
  const build = await current();
  // Nothing is left: that is a first visit once more, with all that it says.
  if (build === null && !(await isRecorded())) return bringAll();
  if (build === null || !(await version(build)))
    await serveFromNowOn(OWN.build);
  await record();
}

/** Checks the files of a version. What is not whole is dropped, never served again, and fetched anew. */
async function checkFiles(one: Version, mended: string[]): Promise<Findings> {
  const found: Findings = {
    mended,
    renewed: [],
    lacking: [],
    cause: null,
    detail: "",
  };
  const cache = await caches.open(FILE_CACHE);
  for (const file of one.files) {
    if (await isWhole(file, cache)) continue;
    const altered = await cache.delete(fileKey(file.sha256));
    // What was made from an altered file is none the better.
    if (altered) await caches.delete(SNAPSHOT_CACHE);
    try {
      await bring(file, cache, () => undefined);
      mended.push(file.url);
      renewed.delete(file.url);
    } catch (problem) {
      found.lacking.push(file.url);
      found.cause = causeOf(problem);
      found.detail = String(problem);
    }
  }
  return found;
}

/** Asks for a newer version, and waits until it is here or known not to be. */
async function newerCame(): Promise<boolean> {
  try {
    await self.registration.update();
  } catch {
    return false;
  }
  const newer = self.registration.installing;
  if (newer)
    await new Promise((resolve) =>
      newer.addEventListener("statechange", resolve, { once: true }),
    );
  return self.registration.waiting !== null;
}

export const running = new Set<string>();

/** A page that never says that its script runs: its files are checked, and it is opened anew if that changed one. */
export async function watchOver(id: string): Promise<void> {
  const before = [await current(), brought];
  await new Promise((resolve) => setTimeout(resolve, SILENCE_MS));
  if (running.delete(id) || !(await self.clients.get(id))) return;
  const { mended, lacking } = await check();
  // The page that opens now runs on them from its first moment on, and says so.
  for (const url of mended) renewed.add(url);
  const isOther =
    lacking.includes(START_PAGE) ||
    before[0] !== (await current()) ||
    before[1] !== brought;
  const page = await self.clients.get(id);
  if (isOther && page && !running.delete(id))
    await (page as WindowClient).navigate(page.url);
}
