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
  FileEntry,
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
const START_PAGE = "index.html";
const LOCK = `platepath-files ${SCOPE.pathname}`;

// Names within the caches; nothing of the sort is ever asked of the network.
const fileKey = (sha256: string) => new URL(`.kept/file/${sha256}`, SCOPE).href;
const versionKey = (build: string) =>
  new URL(`.kept/version/${build}`, SCOPE).href;
const CURRENT_KEY = new URL(".kept/current", SCOPE).href;

class Download extends Error {
  constructor(
    readonly cause: "network" | "storage",
    detail: string,
  ) {
    super(detail);
  }
}

// ---- what is kept

async function current(): Promise<string | null> {
  const record = await (await caches.open(VERSION_CACHE)).match(CURRENT_KEY);
  return record ? record.text() : null;
}

async function serveFromNowOn(build: string): Promise<void> {
  await (
    await caches.open(VERSION_CACHE)
  ).put(CURRENT_KEY, new Response(build));
  remembered = null;
}

async function version(build: string): Promise<Version | null> {
  if (build === OWN.build) return OWN;
  const record = await (
    await caches.open(VERSION_CACHE)
  ).match(versionKey(build));
  return record ? ((await record.json()) as Version) : null;
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
      if (await cache.match(fileKey(file.sha256))) count(file.bytes);
      else await bring(file, cache, count);
    }
    const record = new Response(JSON.stringify(OWN));
    await (await caches.open(VERSION_CACHE)).put(versionKey(OWN.build), record);
    if (first) await serveFromNowOn(OWN.build);
    await tell({ service: "complete" });
  } catch (problem) {
    const cause = problem instanceof Download ? problem.cause : "storage";
    await tell({
      service: "download_failed",
      first,
      cause,
      detail: String(problem),
    });
    throw problem;
  }
}

/** Downloads one file, counts its bytes as they come, and keeps it only if its hash is right. */
async function bring(
  file: FileEntry,
  cache: Cache,
  count: (bytes: number) => void,
): Promise<void> {
  const { response, content } = await download(file, count);
  const digest = await crypto.subtle.digest("SHA-256", content);
  const sha256 = Array.from(new Uint8Array(digest), (byte) =>
    byte.toString(16).padStart(2, "0"),
  );
  if (sha256.join("") !== file.sha256)
    throw new Download(
      "network",
      `${file.url} is not the file of this version`,
    );
  const headers = new Headers(response.headers);
  // The content is kept unpacked, whatever way it travelled.
  headers.delete("content-encoding");
  headers.set("content-length", String(content.byteLength));
  await cache.put(fileKey(file.sha256), new Response(content, { headers }));
}

async function download(
  file: FileEntry,
  count: (bytes: number) => void,
): Promise<{ response: Response; content: Uint8Array<ArrayBuffer> }> {
  try {
    const response = await fetch(new URL(file.url, SCOPE), {
      cache: "no-cache",
    });
    if (!response.ok || !response.body)
      throw new Error(`${file.url}: ${response.status}`);
    const content = new Uint8Array(file.bytes);
    let length = 0;
    const reader = response.body.getReader();
    for (
      let part = await reader.read();
      !part.done;
      part = await reader.read()
    ) {
      if (length + part.value.length > file.bytes)
        throw new Error(`${file.url} is too long`);
      content.set(part.value, length);
      length += part.value.length;
      count(part.value.length);
    }
    return { response, content };
  } catch (problem) {
    throw new Download("network", String(problem));
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
  const names = await caches.open(VERSION_CACHE);
  if (!(await names.match(versionKey(OWN.build)))) await install();
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
    return fetch(request);
  }
}

async function answerFromKept(request: Request): Promise<Response> {
  const all = await (remembered ??= versions());
  const navigates = request.mode === "navigate";
  const url = new URL(request.url);
  const name = navigates
    ? START_PAGE
    : url.pathname.slice(SCOPE.pathname.length) || START_PAGE;
  const cache = await caches.open(FILE_CACHE);
  for (const one of navigates ? all.slice(0, 1) : all) {
    const file = one.files.find((entry) => entry.url === name);
    if (!file) continue;
    const kept = await cache.match(fileKey(file.sha256));
    if (kept) return kept;
    // The system emptied the cache. What comes back in its place must be the very same file.
    try {
      await bring(file, cache, () => undefined);
      return (await cache.match(fileKey(file.sha256))) ?? Response.error();
    } catch {
      continue;
    }
  }
  if (navigates) {
    const headers = { "Content-Type": "text/html; charset=utf-8" };
    return new Response(offlinePage, { status: 503, headers });
  }
  return fetch(request);
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
  return { current: await current(), own: OWN.build };
}

self.addEventListener("install", (event) => event.waitUntil(install()));
self.addEventListener("activate", (event) => event.waitUntil(activate()));
self.addEventListener("fetch", (event) => {
  const { method, url } = event.request;
  if (method !== "GET" || !url.startsWith(SCOPE.href)) return;
  event.respondWith(answer(event.request));
  if (event.request.mode === "navigate") event.waitUntil(mend().then(tidy));
});
self.addEventListener("message", (event) => {
  const { ask } = (event.data ?? {}) as Partial<ServiceRequest>;
  if (ask === "state" || ask === "use")
    event.waitUntil(
      reply({ ask }).then((state) => {
        event.ports[0]?.postMessage(state);
        return state.current === null ? mend() : undefined;
      }),
    );
});
