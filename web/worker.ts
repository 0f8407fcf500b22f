// The engine's worker: starts Python in named steps, then answers strings with strings.
// No Python object ever leaves it.
import * as Comlink from "comlink";
import type { PyodideAPI } from "pyodide";
import type { BootMessage, BootOrder, BootStepName, EngineWorker } from "./protocol";
import {
  bootOf,
  checkWebAssembly,
  fetchParts,
  startPython,
  Trouble,
  type Boot,
  type Parts,
} from "./worker_python";
import { dropSnapshot, keepSnapshot, keptSnapshot, type KeptSnapshot } from "./worker_snapshot";

const began = performance.now();
const milliseconds: Record<string, number> = {};

function say(message: BootMessage): void {
  self.postMessage(message);
}

function step(name: BootStepName): void {
  milliseconds[name] = performance.now() - began;
  say({ boot: "step", step: name });
}

/** Public options only; what every doubt falls back to. */
async function startPlainly(parts: Parts, build: string): Promise<Boot> {
  const pyodide = await startPython(parts, build, "plainly");
  step("engine");
  return bootOf(pyodide);
}

async function startFrom(snapshot: KeptSnapshot, parts: Parts, build: string): Promise<Boot> {
  const boot = bootOf(await startPython(parts, build, snapshot));
  boot.restored();
  step("engine");
  if (!(await snapshot.isExpected(boot.handle(boot.self_test))))
    throw new Error("the self-test answered otherwise");
  return boot;
}

/** The start that leaves a snapshot for the next one. */
async function startAndSnapshot(parts: Parts, build: string): Promise<Boot> {
  const pyodide = await startPython(parts, build, "to snapshot");
  step("engine");
  const boot = bootOf(pyodide);
  const expected = boot.handle(boot.self_test);
  void keep(pyodide, expected, build);
  return boot;
}

async function keep(pyodide: PyodideAPI, expected: string, build: string): Promise<void> {
  try {
    // Before anything is awaited: no job may get into it.
    const memory = (
      pyodide as unknown as { makeMemorySnapshot(): Uint8Array<ArrayBuffer> }
    ).makeMemorySnapshot();
    await keepSnapshot(build, memory, expected);
    say({ boot: "snapshot", kept: true, detail: "" });
  } catch (problem) {
    say({ boot: "snapshot", kept: false, detail: String(problem) });
  }
}

async function startSomehow(order: BootOrder): Promise<[Boot, "plain" | "snapshot"]> {
  const mayKeep = order.start !== "plain" && typeof caches !== "undefined";
  // Asked for first: everything else waits for it.
  const kept = mayKeep && order.start !== "anew" ? keptSnapshot(order.build) : null;
  kept?.catch(() => undefined);
  const parts = fetchParts();
  if (!mayKeep) return [await startPlainly(parts, order.build), "plain"];
  try {
    const snapshot = await kept;
    if (snapshot) return [await startFrom(snapshot, parts, order.build), "snapshot"];
  } catch (problem) {
    // What is missing is not the snapshot's fault.
    if (problem instanceof Trouble) throw problem;
    // A second interpreter in this worker would share its memory with a half-restored one.
    await dropSnapshot().catch(() => undefined);
    throw new Trouble("stopped", `the snapshot did not start: ${String(problem)}`);
  }
  return [await startAndSnapshot(parts, order.build), "plain"];
}

function serve(boot: Boot): EngineWorker {
  return {
    call: async (request) => {
      try {
        return boot.handle(request);
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
    const [boot, how] = await startSomehow(order);
    Comlink.expose(serve(boot));
    step("check");
    say({ boot: "ready", milliseconds, start: how });
  } catch (problem) {
    const trouble = problem instanceof Trouble ? problem.trouble : "stopped";
    say({ boot: "failed", trouble, detail: String(problem) });
  }
}

self.addEventListener("message", (event: MessageEvent<BootOrder>) => {
  if (event.data?.boot === "start") void start(event.data);
});
