// The engine's worker: starts Pyodide in named steps, then answers strings with strings.
// No Python object ever leaves it.
import * as Comlink from "comlink";
import { loadPyodide, type PyodideAPI } from "pyodide";
import { NO_PACKAGES, PARTS } from "./generated/parts";
import type { BootMessage, BootOrder, BootStepName, EngineTrouble, EngineWorker } from "./protocol";

type Handle = (request: string) => string;

class Trouble extends Error {
  constructor(
    readonly trouble: EngineTrouble,
    detail: string,
  ) {
    super(detail);
  }
}

// The eight bytes of an empty module: enough to learn whether WebAssembly may run here at all.
// Where it may not, Pyodide would wait for ever.
const EMPTY_MODULE = new Uint8Array([0, 0x61, 0x73, 0x6d, 1, 0, 0, 0]);

const started = performance.now();
const milliseconds: Record<string, number> = {};

function say(message: BootMessage): void {
  self.postMessage(message);
}

function step(name: BootStepName): void {
  milliseconds[name] = performance.now() - started;
  say({ boot: "step", step: name });
}

async function fetched(path: string): Promise<Uint8Array> {
  const response = await fetch(new URL(path, self.location.href)).catch((problem: unknown) => {
    throw new Trouble("parts_missing", `${path}: ${String(problem)}`);
  });
  if (!response.ok) throw new Trouble("parts_missing", `${path}: ${response.status}`);
  return new Uint8Array(await response.arrayBuffer());
}

async function checkWebAssembly(): Promise<void> {
  if (typeof WebAssembly === "undefined")
    throw new Trouble("web_assembly_blocked", "WebAssembly is not defined");
  await WebAssembly.compile(EMPTY_MODULE).catch((problem: unknown) => {
    throw new Trouble("web_assembly_blocked", String(problem));
  });
}

async function startPython(build: string): Promise<PyodideAPI> {
  const parts = Promise.all([fetched(PARTS.site), fetched(PARTS.native)]);
  // Its failure is met in fsInit; without this it would first be reported as unhandled.
  parts.catch(() => undefined);
  let failure: unknown = null;
  const pyodide = await loadPyodide({
    indexURL: new URL(PARTS.pyodide, self.location.href).href,
    stdLibURL: new URL(PARTS.stdlib, self.location.href).href,
    packageBaseUrl: new URL(PARTS.pyodide, self.location.href).href,
    lockFileContents: NO_PACKAGES,
    env: { PYTHONPATH: "/site.zip", PYDANTIC_DISABLE_PLUGINS: "__all__", PLATEPATH_BUILD: build },
    fsInit: async (files) => {
      try {
        const [site, native] = await parts;
        files.writeFile("/site.zip", site);
        files.writeFile("/pydantic_core.so", native);
      } catch (problem) {
        failure = problem;
      }
    },
  });
  if (failure) throw failure;
  return pyodide;
}

function serve(pyodide: PyodideAPI): EngineWorker {
  const boot = pyodide.pyimport("platepath_boot") as { handle: Handle };
  const { handle } = boot;
  return {
    call: async (request) => {
      try {
        return handle(request);
      } catch (problem) {
        // The engine answers its own errors; what comes here is the interpreter's end.
        say({ boot: "died", detail: String(problem) });
        throw problem;
      }
    },
  };
}

async function start(order: BootOrder): Promise<void> {
  navigator.locks?.request(order.lock, () => new Promise(() => undefined)).catch(() => undefined);
  try {
    step("runtime");
    await checkWebAssembly();
    const pyodide = await startPython(order.build);
    step("engine");
    Comlink.expose(serve(pyodide));
    step("check");
    say({ boot: "ready", milliseconds, start: "plain" });
  } catch (problem) {
    const trouble = problem instanceof Trouble ? problem.trouble : "stopped";
    say({ boot: "failed", trouble, detail: String(problem) });
  }
}

self.addEventListener("message", (event: MessageEvent<BootOrder>) => {
  if (event.data?.boot === "start") void start(event.data);
});
