// What is kept: files by their hash, versions as lists of hashes, and one record that says which version is served.
import { FILES } from "../web/generated/files";
import { BUILD } from "../web/generated/version";
import type { Version } from "../web/offline/messages";

declare const self: ServiceWorkerGlobalScope;

export const OWN: Version = { build: BUILD, files: FILES };
export const SCOPE = new URL(self.registration.scope);
export const FILE_CACHE = `platepath-files ${SCOPE.pathname}`;
export const VERSION_CACHE = `platepath-versions ${SCOPE.pathname}`;
export const SNAPSHOT_CACHE = `platepath-snapshot ${SCOPE.pathname}`;
export const START_PAGE = "index.html";
export const LOCK = `platepath-files ${SCOPE.pathname}`;

// Names within the caches; nothing of the sort is ever asked of the network.
export const fileKey = (sha256: string) =>
  new URL(`.kept/file/${sha256}`, SCOPE).href;

export const versionKey = (build: string) =>
  new URL(`.kept/version/${build}`, SCOPE).href;

const CURRENT_KEY = new URL(".kept/current", SCOPE).href;

/** The build that is served; null before the first one, empty where that cannot be read. */
export async function current(): Promise<string | null> {
  try {
    const record = await (await caches.open(VERSION_CACHE)).match(CURRENT_KEY);
    return record ? await record.text() : null;
  } catch {
    return "";
  }
}

export async function serveFromNowOn(build: string): Promise<void> {
  await (
    await caches.open(VERSION_CACHE)
  ).put(CURRENT_KEY, new Response(build));
  forgetVersions();
}

/** What is kept of a version; null when nothing is, or nothing that can be read. */
export async function version(build: string): Promise<Version | null> {
  if (build === OWN.build) return OWN;
  try {
    const cache = await caches.open(VERSION_CACHE);
    const record = await (await cache.match(versionKey(build)))?.json();
    return record?.build === build && Array.isArray(record.files)
      ? (record as Version)
      : null;
  } catch {
    return null;
  }
}

/** All complete versions, the one to serve first. */
export async function versions(): Promise<Version[]> {
  const cache = await caches.open(VERSION_CACHE);
  const builds = (await cache.keys())
    .map((request) => request.url)
    .filter((url) => url.startsWith(versionKey("")))
    .map((url) => url.slice(versionKey("").length));
  const first = (await current()) ?? OWN.build;
  const found = await Promise.all(
    [first, ...builds.filter((build) => build !== first)].map(version),
  );
  return found.filter((one) => one !== null);
}

let remembered: Promise<Version[]> | null = null;

/** The same, read once until something about them changes. */
export function knownVersions(): Promise<Version[]> {
  return (remembered ??= versions());
}

/** Has the versions read again by whoever asks next. */
export function forgetVersions(): void {
  remembered = null;
}

/** Notes that all files of this version are here. */
export async function record(): Promise<void> {
  const cache = await caches.open(VERSION_CACHE);
  await cache.put(versionKey(OWN.build), new Response(JSON.stringify(OWN)));
}

/** Whether that was noted. */
export async function isRecorded(): Promise<boolean> {
  const cache = await caches.open(VERSION_CACHE);
  return !!(await cache.match(versionKey(OWN.build)));
}
