// Keeps every file of a version on the device and serves one version whole.
//
// Files are kept by their hash, versions as lists of hashes, and one record says which version is
// served. So an update downloads only what changed, a broken download goes on where it stopped,
// and a version that nobody agreed to is never served, even after the browser has put this worker
// in the place of the older one. (A precaching library serves its own version from the moment it
// is active, and counts files, not bytes.)
import type {
  Running,
  ServiceRequest,
  ServiceState,
} from "../web/offline/messages";
import { check, running, watchOver } from "./check";
import { bring, install, mend, renewed } from "./download";
import {
  current,
  FILE_CACHE,
  fileKey,
  forgetVersions,
  knownVersions,
  LOCK,
  OWN,
  SCOPE,
  serveFromNowOn,
  START_PAGE,
  VERSION_CACHE,
  versionKey,
  versions,
} from "./kept";
import offlinePage from "./offline.html";

declare const self: ServiceWorkerGlobalScope;

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
  forgetVersions();
}

/** From what is kept; where the browser cannot read that, from the network as any page. */
async function answer(request: Request): Promise<Response> {
  try {
    return await answerFromKept(request);
  } catch (problem) {
    console.warn(String(problem));
    forgetVersions();
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
  const all = await knownVersions();
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
