// Starts Pyodide on the app's own archives: plainly, so that a snapshot can be made, or from one.
import { loadPyodide, type PyodideAPI, type PyodideConfig } from "pyodide";
import { NO_PACKAGES, PARTS } from "../generated/parts";
import type { EngineTrouble } from "./messages";
import { compileShapesOnce, handOver } from "./shortcuts";
import type { KeptSnapshot } from "./snapshot";

export class Trouble extends Error {
  constructor(
    readonly trouble: EngineTrouble,
    detail: string,
  ) {
    super(detail);
  }
}

/** What platepath_boot.py hands out. */
export interface Boot {
  handle(request: string): string;
  /** A request whose reply must not change by being snapshot and restored. */
  self_test: string;
  restored(): void;
}

/** Emscripten's own file system, with the function that Pyodide's types leave out. */
interface Files {
  writeFile(path: string, content: Uint8Array, options: { canOwn: boolean }): void;
  readdir(folder: string): string[];
  unlink(path: string): void;
  preloadFile(
    folder: string,
    name: string,
    content: WebAssembly.Module,
    canRead: boolean,
    canWrite: boolean,
    dontCreate: boolean,
    canOwn: boolean,
  ): Promise<void>;
}

type Create = NonNullable<PyodideConfig["createPyodideModule"]>;
const NATIVE = "pydantic_core.so";
const SITE = "/site.zip";

// The eight bytes of an empty module: enough to learn whether WebAssembly may run here at all.
// Where it may not, Pyodide would wait for ever.
const EMPTY_MODULE = new Uint8Array([0, 0x61, 0x73, 0x6d, 1, 0, 0, 0]);

export async function checkWebAssembly(): Promise<void> {
  if (typeof WebAssembly === "undefined")
    throw new Trouble("web_assembly_blocked", "WebAssembly is not defined");
  await WebAssembly.compile(EMPTY_MODULE).catch((problem: unknown) => {
    throw new Trouble("web_assembly_blocked", String(problem));
  });
}

function addressOf(path: string): string {
  return new URL(path, self.location.href).href;
}

async function fetched(path: string): Promise<Response> {
  const response = await fetch(addressOf(path)).catch((problem: unknown) => {
    throw new Trouble("parts_missing", `${path}: ${String(problem)}`);
  });
  if (!response.ok) throw new Trouble("parts_missing", `${path}: ${response.status}`);
  return response;
}

/** Compiled while it comes in, where the host names it rightly; else once it is there. */
async function compiled(response: Response): Promise<WebAssembly.Module> {
  return response.headers.get("Content-Type") === "application/wasm"
    ? WebAssembly.compileStreaming(response)
    : WebAssembly.compile(await response.arrayBuffer());
}

/** What every start needs. */
export interface Parts {
  interpreter: Promise<WebAssembly.Module>;
  script: Promise<{ default: Create }>;
  native: Promise<WebAssembly.Module>;
}

/** Has them all come in at once, beside whatever else there is to do. */
export function fetchParts(): Parts {
  const parts: Parts = {
    script: import(addressOf(PARTS.script)) as Promise<{ default: Create }>,
    interpreter: fetched(PARTS.interpreter).then(compiled),
    native: fetched(PARTS.native).then(compiled),
  };
  // A failure is met where a part is used; without this it would first be reported as unhandled.
  for (const part of Object.values(parts) as Promise<unknown>[]) part.catch(() => undefined);
  return parts;
}

async function archive(path: string): Promise<Uint8Array> {
  return new Uint8Array(await (await fetched(path)).arrayBuffer());
}

/** `how`: with public options only, so that a snapshot can be made, or from the snapshot given. */
export async function startPython(
  parts: Parts,
  build: string,
  how: "plainly" | "to snapshot" | KeptSnapshot,
): Promise<PyodideAPI> {
  let failure: unknown = null;
  // A snapshot holds what verdicts need; its archives follow (`archivesToCome`).
  const fromSnapshot = typeof how === "object";
  const site = fromSnapshot ? null : archive(PARTS.site);
  site?.catch(() => undefined);
  compileShapesOnce();
  handOver(parts.interpreter);
  const starting = loadPyodide({
    indexURL: addressOf(PARTS.empty),
    stdLibURL: addressOf(fromSnapshot ? `${PARTS.empty}pyodide.asm.wasm` : PARTS.stdlib),
    packageBaseUrl: addressOf(PARTS.empty),
    lockFileContents: NO_PACKAGES,
    env: { PYTHONPATH: SITE, PYDANTIC_DISABLE_PLUGINS: "__all__", PLATEPATH_BUILD: build },
    fsInit: async (fileSystem) => {
      try {
        const files = fileSystem as unknown as Files;
        if (site) files.writeFile(SITE, await site, { canOwn: true });
        const native = await parts.native;
        // Preloading puts it at the same place in memory whether a snapshot is made or restored.
        await files.preloadFile("/", NATIVE, native, true, true, true, true);
        // What is loaded already is only looked for under this name.
        files.writeFile(`/${NATIVE}`, new Uint8Array(), { canOwn: true });
      } catch (problem) {
        failure = problem;
      }
    },
    ...(how === "to snapshot" ? { _makeSnapshot: true } : {}),
    createPyodideModule: async (settings) => (await parts.script).default(settings),
    ...(fromSnapshot ? { _loadSnapshot: how.header, ...putInPlace(parts, how) } : {}),
  });
  // Without its wasm Pyodide would wait for ever.
  const withoutWasm = new Promise<never>((_, reject) => parts.interpreter.catch(reject));
  const pyodide = await Promise.race([starting, withoutWasm]);
  if (failure) throw failure;
  return pyodide;
}

/**
 * Puts the memory of a snapshot in place before Pyodide goes on from it. Its own way takes the
 * memory in one piece, and cannot let it grow: the wasm module brings one of a fixed first size.
 */
function putInPlace(parts: Parts, snapshot: KeptSnapshot): Pick<PyodideConfig, "createPyodideModule"> {
  return {
    createPyodideModule: async (settings) => {
      const module = await (await parts.script).default(settings);
      const emscripten = module as unknown as {
        HEAPU8: Uint8Array<ArrayBuffer>;
        growMemory(bytes: number): unknown;
        _sbrk(bytes: number): number;
        ___stack_low: number;
        ___stack_high: number;
      };
      const untouched = emscripten._sbrk(0);
      if (emscripten.HEAPU8.length < snapshot.bytes) emscripten.growMemory(snapshot.bytes);
      // Whole and checked before anything runs on it.
      await snapshot.restoreInto(emscripten.HEAPU8, {
        idle: { from: emscripten.___stack_low, to: emscripten.___stack_high },
        untouched,
      });
      return module;
    },
  };
}

/**
 * Takes the stand-in of the standard library away, and gives what puts both archives in their places, once. Until
 * then whatever a restored engine would import finds no file, and fails.
 */
export function archivesToCome(pyodide: PyodideAPI): () => Promise<void> {
  const files = pyodide.FS as Files;
  const standIn = files.readdir("/lib").find((name) => name.endsWith(".zip"));
  if (!standIn) throw new Trouble("parts_missing", "what stands in for the standard library");
  const stdlib = `/lib/${standIn}`;
  files.unlink(stdlib);
  const put = async (): Promise<void> => {
    const [site, library] = await Promise.all([archive(PARTS.site), archive(PARTS.stdlib)]);
    files.writeFile(SITE, site, { canOwn: true });
    files.writeFile(stdlib, library, { canOwn: true });
  };
  let coming: Promise<void> | null = null;
  return () =>
    (coming ??= put().catch((problem: unknown) => {
      // Whatever it was: a new start would meet it again.
      throw problem instanceof Trouble ? problem : new Trouble("parts_missing", String(problem));
    }));
}

export function bootOf(pyodide: PyodideAPI): Boot {
  return pyodide.pyimport("platepath_boot") as Boot;
}
