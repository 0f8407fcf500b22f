// The snapshot of the started engine, made on this device and kept for this build and this browser.
// It holds the engine as it is before the first job: no answer of anybody is in it.

const CACHE = `platepath-snapshot ${new URL(".", self.location.href).pathname}`;
const KEPT = new URL(".kept/snapshot", self.location.href).href;

// The label travels in a header: it is there at once, and never without the memory.
const LABEL = "Snapshot-Label";

const PAGE = 65536;
const LONGEST_PIECE = 4 * PAGE;

/** What need not be cleared in a memory that nothing runs in. */
interface Waiting {
  /** The stack: empty in the snapshot, and what lies on it is in use no more. */
  idle: { from: number; to: number };
  /** From here up nothing was ever written. */
  untouched: number;
}

/** Pages with content that lie together in memory, and the hash of what is in them. */
interface Piece {
  start: number;
  bytes: number;
  sha256: string;
}

interface Label {
  key: string;
  /** Hash of what the self-test must answer after restoring. */
  expected: string;
  /** Pyodide's own part of its snapshot: what it needs besides the memory. */
  header: number[];
  /** Length of the whole memory, in bytes. */
  bytes: number;
  pieces: Piece[];
}

export interface KeptSnapshot {
  header: Uint8Array<ArrayBuffer>;
  bytes: number;
  /** Whether the self-test answered what it answered before. */
  isExpected(answer: string): Promise<boolean>;
  /** Fills the memory of an interpreter that waits. Rejects when what is kept is not what was kept. */
  restoreInto(memory: Uint8Array<ArrayBuffer>, waiting: Waiting): Promise<void>;
}

/** What a snapshot is good for: this build, in this very browser. */
async function key(build: string): Promise<string> {
  const data = (navigator as { userAgentData?: { getHighEntropyValues(names: string[]): Promise<unknown> } })
    .userAgentData;
  const version = await data?.getHighEntropyValues(["fullVersionList", "architecture", "bitness"]);
  return JSON.stringify([build, navigator.userAgent, version ?? null]);
}

async function digest(content: Uint8Array<ArrayBuffer>): Promise<string> {
  return btoa(String.fromCharCode(...new Uint8Array(await crypto.subtle.digest("SHA-256", content))));
}

function digestOf(text: string): Promise<string> {
  return digest(new TextEncoder().encode(text));
}

/** The snapshot for this build and browser, or null. */
export async function keptSnapshot(build: string): Promise<KeptSnapshot | null> {
  const kept = await (await caches.open(CACHE)).match(KEPT);
  const labelled = kept?.headers.get(LABEL);
  if (!kept || !labelled) return null;
  const label = JSON.parse(labelled) as Label;
  if (label.key !== (await key(build))) return null;
  return {
    header: new Uint8Array(label.header),
    bytes: label.bytes,
    isExpected: async (answer) => (await digestOf(answer)) === label.expected,
    restoreInto: (memory, waiting) => pour(kept, label, memory, waiting),
  };
}

/** One chunk after the other, in the same buffer each time where the browser can: less to clear away later. */
function chunksOf(body: ReadableStream<Uint8Array<ArrayBuffer>>): () => Promise<Uint8Array | undefined> {
  let reader: ReadableStreamBYOBReader;
  try {
    reader = body.getReader({ mode: "byob" });
  } catch {
    const plain = body.getReader();
    return async () => (await plain.read()).value;
  }
  let buffer = new ArrayBuffer(LONGEST_PIECE);
  return async () => {
    const { value, done } = await reader.read(new Uint8Array(buffer));
    if (value) buffer = value.buffer;
    return done ? undefined : value;
  };
}

/** Piece by piece straight into place, so that the memory is never there twice. */
async function pour(
  kept: Response,
  label: Label,
  memory: Uint8Array<ArrayBuffer>,
  waiting: Waiting,
): Promise<void> {
  const next = chunksOf(kept.body as ReadableStream<Uint8Array<ArrayBuffer>>);
  const checks: Promise<boolean>[] = [];
  let chunk: Uint8Array = new Uint8Array();
  let reached = 0;
  for (const { start, bytes, sha256 } of label.pieces) {
    clear(memory, reached, start, waiting);
    reached = start + bytes;
    for (let at = start; at < reached;) {
      if (!chunk.length) {
        const came = await next();
        if (!came) throw new Error("the snapshot is shorter than what was kept");
        chunk = came;
      }
      const part = chunk.subarray(0, reached - at);
      memory.set(part, at);
      at += part.length;
      chunk = chunk.subarray(part.length);
    }
    checks.push(digest(memory.subarray(start, reached)).then((found) => found === sha256));
    // A check works on a copy: two at a time, or all the memory would be there twice after all.
    await checks.at(-2);
  }
  clear(memory, reached, label.bytes, waiting);
  if (!(await Promise.all(checks)).every(Boolean)) throw new Error("the snapshot is not what was kept");
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
  const pieces: Piece[] = [];
  for (const [start, bytes] of withContent(memory))
    pieces.push({ start, bytes, sha256: await digest(memory.subarray(start, start + bytes)) });
  const content = new Blob(pieces.map(({ start, bytes }) => memory.subarray(start, start + bytes)));
  const label: Label = {
    key: await key(build),
    expected: await digestOf(expected),
    header: [...made.subarray(0, begin)],
    bytes: memory.length,
    pieces,
  };
  const headers = { [LABEL]: JSON.stringify(label) };
  await (await caches.open(CACHE)).put(KEPT, new Response(content, { headers }));
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
function clear(memory: Uint8Array, from: number, to: number, { idle, untouched }: Waiting): void {
  for (let page = from; page < Math.min(to, untouched); page += PAGE) {
    const onStack = page >= idle.from && page + PAGE <= idle.to;
    if (!onStack && !isEmpty(memory, page)) memory.fill(0, page, page + PAGE);
  }
}

function withContent(memory: Uint8Array): [start: number, bytes: number][] {
  const found: [start: number, bytes: number][] = [];
  for (let page = 0; page < memory.length; page += PAGE) {
    const last = found.at(-1);
    if (isEmpty(memory, page)) continue;
    if (last && last[0] + last[1] === page && last[1] < LONGEST_PIECE) last[1] += PAGE;
    else found.push([page, PAGE]);
  }
  return found;
}
