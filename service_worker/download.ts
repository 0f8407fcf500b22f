// Brings in what is missing. A file is kept only if its hash is right.
import type { Cause, FileEntry, ServiceMessage } from "../web/offline/messages";
import {
  current,
  FILE_CACHE,
  fileKey,
  isRecorded,
  LOCK,
  OWN,
  record,
  SCOPE,
  serveFromNowOn,
} from "./kept";

declare const self: ServiceWorkerGlobalScope;

/** A network that is there and carries nothing for so long counts as none. */
const STALLED_MS = 30_000;

class Download extends Error {
  constructor(
    readonly cause: Cause,
    detail: string,
  ) {
    super(detail);
  }
}

/** Nothing is tidied away meanwhile. */
export const install = () =>
  navigator.locks.request(LOCK, { mode: "shared" }, bringAll);

/** Files that came anew before anything was made of them, until a page asks what was mended. */
export const renewed = new Set<string>();

export async function bringAll(): Promise<void> {
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

export const causeOf = (problem: unknown): Cause =>
  problem instanceof Download ? problem.cause : "storage";

/** Whether what is kept of a file is that file, to the last bit. */
export async function isWhole(file: FileEntry, cache: Cache): Promise<boolean> {
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
export let brought = 0;

/** Has a file come in, once, however many wait for it. */
export function bring(
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

export let mending: Promise<void> | null = null;

/** Brings everything in again after the system emptied the cache. */
export function mend(): Promise<void> {
  return (mending ??= bringBack()
    // Without a network it stays as it is, and the page says so.
    .catch(() => undefined)
    .finally(() => (mending = null)));
}

async function bringBack(): Promise<void> {
  if (!(await isRecorded())) await install();
}

async function tell(message: ServiceMessage): Promise<void> {
  for (const client of await self.clients.matchAll({
    type: "window",
    includeUncontrolled: true,
  }))
    client.postMessage(message);
}
