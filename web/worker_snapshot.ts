// The snapshot of the started engine, made on this device and kept for this build and this browser.
// It holds the engine as it is before the first job: no answer of anybody is in it.

const CACHE = `platepath-snapshot ${new URL(".", self.location.href).pathname}`;
const keptKey = (name: string) => new URL(`.kept/snapshot/${name}`, self.location.href).href;

const PAGE = 65536;

/** Where a stretch of pages with content begins in memory, and its length, in bytes. */
type Run = [start: number, length: number];

interface Label {
  key: string;
  /** What the self-test must answer after restoring. */
  expected: string;
  /** Pyodide's own part of its snapshot: what it needs besides the memory. */
  header: number[];
  /** Length of the whole memory, in bytes. */
  bytes: number;
  runs: Run[];
  sha256: string;
}

export interface KeptSnapshot {
  header: Uint8Array<ArrayBuffer>;
  expected: string;
  bytes: number;
  /** Whether the content is what was kept; computed while the interpreter starts. */
  unchanged: Promise<boolean>;
  restoreInto(memory: Uint8Array): void;
}

/** What a snapshot is good for: this build, in this very browser. */
async function key(build: string): Promise<string> {
  const data = (navigator as { userAgentData?: { getHighEntropyValues(names: string[]): Promise<unknown> } })
    .userAgentData;
  const version = await data?.getHighEntropyValues(["fullVersionList", "architecture", "bitness"]);
  return JSON.stringify([build, navigator.userAgent, version ?? null]);
}

async function digest(content: Uint8Array<ArrayBuffer>): Promise<string> {
  return new Uint8Array(await crypto.subtle.digest("SHA-256", content)).join();
}

/** The snapshot for this build and browser, or null. */
export async function keptSnapshot(build: string): Promise<KeptSnapshot | null> {
  const cache = await caches.open(CACHE);
  const [labelled, kept] = await Promise.all([cache.match(keptKey("label")), cache.match(keptKey("memory"))]);
  if (!labelled || !kept) return null;
  const label = (await labelled.json()) as Label;
  if (label.key !== (await key(build))) return null;
  const content = new Uint8Array(await kept.arrayBuffer());
  return {
    header: new Uint8Array(label.header),
    expected: label.expected,
    bytes: label.bytes,
    unchanged: digest(content).then((found) => found === label.sha256),
    restoreInto(memory) {
      let taken = 0;
      let reached = 0;
      for (const [start, length] of label.runs) {
        clear(memory, reached, start);
        memory.set(content.subarray(taken, taken + length), start);
        taken += length;
        reached = start + length;
      }
      clear(memory, reached, label.bytes);
    },
  };
}

/** Keeps what Pyodide made, without the empty pages. */
export async function keepSnapshot(
  build: string,
  made: Uint8Array<ArrayBuffer>,
  expected: string,
): Promise<void> {
  await dropSnapshot();
  // The second word of Pyodide's snapshot is where the memory begins in it.
  const begin = new Uint32Array(made.buffer, made.byteOffset, 2)[1] as number;
  const memory = made.subarray(begin);
  const runs = withContent(memory);
  const content = new Blob(runs.map(([start, length]) => memory.subarray(start, start + length)));
  const label: Label = {
    key: await key(build),
    expected,
    header: [...made.subarray(0, begin)],
    bytes: memory.length,
    runs,
    sha256: await digest(new Uint8Array(await content.arrayBuffer())),
  };
  const cache = await caches.open(CACHE);
  await cache.put(keptKey("memory"), new Response(content));
  // Written last: without it what lies there is no snapshot.
  await cache.put(keptKey("label"), new Response(JSON.stringify(label)));
}

export async function dropSnapshot(): Promise<void> {
  await caches.delete(CACHE);
}

function isEmpty(memory: Uint8Array, page: number): boolean {
  const words = new Int32Array(memory.buffer, memory.byteOffset + page, PAGE / 4);
  for (const word of words) if (word) return false;
  return true;
}

/** Only what is not empty already is written, so that untouched pages take no room. */
function clear(memory: Uint8Array, from: number, to: number): void {
  for (let page = from; page < to; page += PAGE)
    if (!isEmpty(memory, page)) memory.fill(0, page, page + PAGE);
}

function withContent(memory: Uint8Array): Run[] {
  const runs: Run[] = [];
  for (let page = 0; page < memory.length; page += PAGE) {
    const last = runs.at(-1);
    if (isEmpty(memory, page)) continue;
    if (last && last[0] + last[1] === page) last[1] += PAGE;
    else runs.push([page, PAGE]);
  }
  return runs;
}
