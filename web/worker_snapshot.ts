// The snapshot of the started engine, made on this device and kept for this build and this browser.
// It holds the engine as it is before the first job: no answer of anybody is in it.

const CACHE = `platepath-snapshot ${new URL(".", self.location.href).pathname}`;
const keptKey = (name: string) => new URL(`.kept/snapshot/${name}`, self.location.href).href;

export interface Snapshot {
  memory: Uint8Array<ArrayBuffer>;
  /** What the self-test must answer after restoring. */
  expected: string;
}

export interface KeptSnapshot extends Snapshot {
  /** Whether the bytes are those that were kept; computed while the interpreter starts. */
  unchanged: Promise<boolean>;
}

interface Label {
  key: string;
  expected: string;
  sha256: string;
}

/** What a snapshot is good for: this build, in this very browser. */
async function key(build: string): Promise<string> {
  const data = (navigator as { userAgentData?: { getHighEntropyValues(names: string[]): Promise<unknown> } })
    .userAgentData;
  const version = await data?.getHighEntropyValues(["fullVersionList", "architecture", "bitness"]);
  return JSON.stringify([build, navigator.userAgent, version ?? null]);
}

/** The snapshot for this build and browser, or null. */
export async function keptSnapshot(build: string): Promise<KeptSnapshot | null> {
  const cache = await caches.open(CACHE);
  const [label, memory] = await Promise.all([cache.match(keptKey("label")), cache.match(keptKey("memory"))]);
  if (!label || !memory) return null;
  const { key: made, expected, sha256 } = (await label.json()) as Label;
  if (made !== (await key(build))) return null;
  const content = new Uint8Array(await memory.arrayBuffer());
  const unchanged = digest(content).then((found) => found === sha256);
  return { memory: content, expected, unchanged };
}

async function digest(content: Uint8Array<ArrayBuffer>): Promise<string> {
  return new Uint8Array(await crypto.subtle.digest("SHA-256", content)).join();
}

export async function keepSnapshot(build: string, snapshot: Snapshot): Promise<void> {
  await dropSnapshot();
  const cache = await caches.open(CACHE);
  await cache.put(keptKey("memory"), new Response(snapshot.memory));
  const label: Label = {
    key: await key(build),
    expected: snapshot.expected,
    sha256: await digest(snapshot.memory),
  };
  // Written last: without it what lies there is no snapshot.
  await cache.put(keptKey("label"), new Response(JSON.stringify(label)));
}

export async function dropSnapshot(): Promise<void> {
  await caches.delete(CACHE);
}
