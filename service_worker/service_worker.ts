// Keeps every file of a version on the device and serves one version whole.
//
// Files are kept by their hash, versions as lists of hashes, and one record says which version is
// served. So an update downloads only what changed, a broken download goes on where it stopped,
// and a version that nobody agreed to is never served, even after the browser has put this worker
// in the place of the older one. (A precaching library serves its own version from the moment it
// is active, and counts files, not bytes.)
import { FILES } from "../web/generated/files";
import { BUILD } from "../web/generated/version";
import type {
  Cause,
  FileEntry,
  Findings,
  Running,
  ServiceMessage,
  ServiceRequest,
  ServiceState,
  Version,
} from "../web/protocol";
import offlinePage from "./offline.html";

declare const self: ServiceWorkerGlobalScope;

const OWN: Version = { build: BUILD, files: FILES };
const SCOPE = new URL(self.registration.scope);
const FILE_CACHE = `platepath-files ${SCOPE.pathname}`;
const VERSION_CACHE = `platepath-versions ${SCOPE.pathname}`;
const SNAPSHOT_CACHE = `platepath-snapshot ${SCOPE.pathname}`;
const START_PAGE = "index.html";
const LOCK = `platepath-files ${SCOPE.pathname}`;
/** A page whose script runs says so long before. One that does not may have been given damaged files. */
const SILENCE_MS = 4_000;
/** A network that is there and carries nothing for so long counts as none. */
const STALLED_MS = 30_000;

// Names within the caches; nothing of the sort is ever asked of the network.
const fileKey = (sha256: string) => new URL(`.kept/file/${sha256}`, SCOPE).href;
const versionKey = (build: string) =>
  new URL(`.kept/version/${build}`, SCOPE).href;
const CURRENT_KEY = new URL(".kept/current", SCOPE).href;

class Download extends Error {
  constructor(
    readonly cause: Cause,
    detail: string,
  ) {
    super(detail);
  }
}

// ---- what is kept

/** The build that is served; null before the first one, empty where that cannot be read. */
async function current(): Promise<string | null> {
  try {
    const record = await (await caches.open(VERSION_CACHE)).match(CURRENT_KEY);
    return record ? await record.text() : null;
  } catch {
    return "";
  }
}

async function serveFromNowOn(build: string): Promise<void> {
  await (
    await caches.open(VERSION_CACHE)
  ).put(CURRENT_KEY, new Response(build));
  remembered = null;
}

/** What is kept of a version; null when nothing is, or nothing that can be read. */
async function version(build: string): Promise<Version | null> {
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
async function versions(): Promise<Version[]> {
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

// ---- install: bring in what is missing

/** Nothing is tidied away meanwhile. */
const install = () =>
  navigator.locks.request(LOCK, { mode: "shared" }, bringAll);

/** Files that came anew before anything was made of them, until a page asks what was mended. */
const renewed = new Set<string>();

async function bringAll(): Promise<void> {
  const first = (await current()) === null;
  const cache = await caches.open(FILE_CACHE);
  const total = OWN.files.reduce((sum, file) => sum + file.bytes, 0);
  let done = 0;
  const count = (bytes: number) => {
    done += bytes;
    void tell({ service: "progress", done, total, first });
  };
  try {
    for (const file of OWN.files) {
      if (await isWhole(file, cache)) count(file.bytes);
      else {
        await bring(file, cache, count);
        // Brought by a worker that was complete before.
        if (self.serviceWorker?.state === "activated") renewed.add(file.url);
      }
    }
    await record();
    if (first) await serveFromNowOn(OWN.build);
    await tell({ service: "complete" });
  } catch (problem) {
    await tell({
      service: "download_failed",
      first,
      cause: causeOf(problem),
      detail: String(problem),
    });
    throw problem;
  }
}

const causeOf = (problem: unknown): Cause =>
  problem instanceof Download ? problem.cause : "storage";

async function record(): Promise<void> {
  const cache = await caches.open(VERSION_CACHE);
  await cache.put(versionKey(OWN.build), new Response(JSON.stringify(OWN)));
}

/** Whether what is kept of a file is that file, to the last bit. */
async function isWhole(file: FileEntry, cache: Cache): Promise<boolean> {
  try {
    const kept = await cache.match(fileKey(file.sha256));
    return !!kept && (await hashOf(await kept.arrayBuffer())) === file.sha256;
  } catch {
    // A disk that gives back other bytes than it was given makes the reading fail.
    return false;
  }
}

async function hashOf(content: BufferSource): Promise<string> {
  const digest = await crypto.subtle.digest("SHA-256", content);
  return Array.from(new Uint8Array(digest), (byte) =>
    byte.toString(16).padStart(2, "0"),
  ).join("");
}

const coming = new Map<string, Promise<void>>();
/** How many files came so far. */
let brought = 0;

/** Has a file come in, once, however many wait for it. */
function bring(
  file: FileEntry,
  cache: Cache,
  count: (bytes: number) => void,
): Promise<void> {
  const there = coming.get(file.sha256);
  if (there) return there.then(() => count(file.bytes));
  const come = bringNow(file, cache, count).finally(() =>
    coming.delete(file.sha256),
  );
  coming.set(file.sha256, come);
  return come;
}

/** Downloads one file, counts its bytes as they come, and keeps it only if its hash is right. */
async function bringNow(
  file: FileEntry,
  cache: Cache,
  count: (bytes: number) => void,
): Promise<void> {
  const { response, content } = await download(file, count);
  if ((await hashOf(content)) !== file.sha256)
    throw new Download(
      "foreign",
      `${file.url} is not the file of this version`,
    );
  const headers = new Headers(response.headers);
  // The content is kept unpacked, whatever way it travelled.
  headers.delete("content-encoding");
  headers.set("content-length", String(content.byteLength));
  await cache.put(fileKey(file.sha256), new Response(content, { headers }));
  brought += 1;
}

async function download(
  file: FileEntry,
  count: (bytes: number) => void,
): Promise<{ response: Response; content: Uint8Array<ArrayBuffer> }> {
  const giveUp = new AbortController();
  const patience = () => setTimeout(() => giveUp.abort(), STALLED_MS);
  let waiting = patience();
  try {
    const response = await fetch(new URL(file.url, SCOPE), {
      cache: "no-cache",
      signal: giveUp.signal,
    });
    if (!response.ok || !response.body)
      throw new Download("foreign", `${file.url}: ${response.status}`);
    const content = new Uint8Array(file.bytes);
    let length = 0;
    const reader = response.body.getReader();
    for (
      let part = await reader.read();
      !part.done;
      part = await reader.read()
    ) {
      if (length + part.value.length > file.bytes)
        throw new Download("foreign", `${file.url} is too long`);
      clearTimeout(waiting);
      waiting = patience();
      content.set(part.value, length);
      length += part.value.length;
      count(part.value.length);
    }
    return { response, content };
  } catch (problem) {
    if (problem instanceof Download) throw problem;
    throw new Download("network", String(problem));
  } finally {
    clearTimeout(waiting);
  }
}

let mending: Promise<void> | null = null;

/** Brings everything in again after the system emptied the cache. */
function mend(): Promise<void> {
  return (mending ??= bringBack()
    // Without a network it stays as it is, and the page says so.
    .catch(() => undefined)
    .finally(() => (mending = null)));
}

async function bringBack(): Promise<void> {
  if (!(await isRecorded())) await install();
}

async function isRecorded(): Promise<boolean> {
  const cache = await caches.open(VERSION_CACHE);
  return !!(await cache.match(versionKey(OWN.build)));
}

// ---- check: every file against its hash, and anew what is not whole

let checking: Promise<Findings> | null = null;

function check(): Promise<Findings> {
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
      remembered = null;
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

const running = new Set<string>();

/** A page that never says that its script runs: its files are checked, and it is opened anew if that changed one. */
async function watchOver(id: string): Promise<void> {
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

// ---- activate: take over a first visit, drop what nobody uses

async function activate(): Promise<void> {
  await self.clients.claim();
  await tidy();
}

/** Drops versions that are neither served nor ready, and the files of no version. */
const tidy = () =>
  navigator.locks.request(LOCK, { ifAvailable: true }, async (lock) => {
    // A page that is open may still need the version it was loaded from, a worker that installs
    // the files it already brought.
    if (!lock || self.registration.installing || self.registration.waiting)
      return;
    const windows = { type: "window", includeUncontrolled: true } as const;
    if ((await self.clients.matchAll(windows)).length) return;
    await drop();
  });

async function drop(): Promise<void> {
  const keep = [await current(), OWN.build];
  const names = await caches.open(VERSION_CACHE);
  const hashes = new Set<string>();
  for (const one of await versions()) {
    if (!keep.includes(one.build)) await names.delete(versionKey(one.build));
    else for (const file of one.files) hashes.add(fileKey(file.sha256));
  }
  const files = await caches.open(FILE_CACHE);
  for (const request of await files.keys())
    if (!hashes.has(request.url)) await files.delete(request);
  remembered = null;
}

// ---- fetch: from what is kept

/** From what is kept; where the browser cannot read that, from the network as any page. */
async function answer(request: Request): Promise<Response> {
  try {
    return await answerFromKept(request);
  } catch (problem) {
    console.warn(String(problem));
    remembered = null;
    if (request.mode !== "navigate") return fetch(request);
    return fetch(request).catch(sayOffline);
  }
}

function sayOffline(): Response {
  const headers = {
    "Content-Type": "text/html; charset=utf-8",
    "Content-Security-Policy":
      "default-src 'none'; style-src 'unsafe-inline'; base-uri 'none'",
  };
  return new Response(offlinePage, { status: 503, headers });
}

const nameOf = (url: URL) =>
  url.pathname.slice(SCOPE.pathname.length) || START_PAGE;

async function answerFromKept(request: Request): Promise<Response> {
  const all = await (remembered ??= versions());
  const navigates = request.mode === "navigate";
  const url = new URL(request.url);
  const name = nameOf(url);
  if (navigates && !all[0]?.files.some((entry) => entry.url === name))
    return Response.redirect(`${SCOPE.href}${url.search}`);
  const cache = await caches.open(FILE_CACHE);
  for (const one of navigates ? all.slice(0, 1) : all) {
    const file = one.files.find((entry) => entry.url === name);
    if (!file) continue;
    const kept = await cache.match(fileKey(file.sha256)).catch(() => undefined);
    if (kept) return kept;
    // The system emptied the cache. What comes back in its place must be the very same file.
    try {
      await bring(file, cache, () => undefined);
      renewed.add(file.url);
      return (await cache.match(fileKey(file.sha256))) ?? Response.error();
    } catch {
      continue;
    }
  }
  return navigates ? sayOffline() : fetch(request);
}

// ---- talk

async function tell(message: ServiceMessage): Promise<void> {
  for (const client of await self.clients.matchAll({
    type: "window",
    includeUncontrolled: true,
  }))
    client.postMessage(message);
}

async function reply(request: ServiceRequest): Promise<ServiceState> {
  if (request.ask === "use") {
    await serveFromNowOn(OWN.build);
    await self.skipWaiting();
  }
  const found = request.ask === "check" ? await check() : null;
  if (found) {
    found.renewed.push(...renewed);
    renewed.clear();
  }
  return { current: await current(), own: OWN.build, found };
}

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(activate()));
self.addEventListener("fetch", (event) => {
  const { method, url } = event.request;
  if (method !== "GET" || !url.startsWith(SCOPE.href)) return;
  event.respondWith(answer(event.request));
  if (event.request.mode !== "navigate") return;
  event.waitUntil(mend().then(tidy));
  if (event.resultingClientId && nameOf(new URL(url)) === START_PAGE)
    event.waitUntil(watchOver(event.resultingClientId));
});
self.addEventListener("message", (event) => {
  const { ask } = (event.data ?? {}) as Partial<ServiceRequest | Running>;
  if (ask === "running" && event.source instanceof Client)
    running.add(event.source.id);
  if (ask === "state" || ask === "use" || ask === "check")
    event.waitUntil(
      reply({ ask }).then((state) => {
        event.ports[0]?.postMessage(state);
        return state.current === null ? mend() : undefined;
      }),
    );
});
