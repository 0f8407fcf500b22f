// The engine's worker: starts Python in named steps, then answers strings with strings.
// No Python object ever leaves it.
import * as Comlink from "comlink";
import type { PyodideAPI } from "pyodide";
import type { BootMessage, BootOrder, BootStepName, EngineWorker } from "./protocol";
import {
  archivesToCome,
  bootOf,
  checkWebAssembly,
  fetchParts,
  startPython,
  Trouble,
  type Boot,
  type Parts,
} from "./worker_python";
import { dropSnapshot, keepSnapshot, keptSnapshot, type KeptSnapshot } from "./worker_snapshot";

/** When the archives of a restored engine follow, unless they are wanted before: once the first verdicts are given. */
const ARCHIVES_FOLLOW_MS = 200;
/** How a reply begins that says the engine failed. */
const FAILED = '{"op":"failed"';

const began = performance.now();
const milliseconds: Record<string, number> = {};

function say(message: BootMessage): void {
  self.postMessage(message);
}

function fail(problem: unknown): void {
  const trouble = problem instanceof Trouble ? problem.trouble : "stopped";
  say({ boot: "failed", trouble, detail: String(problem) });
}

function step(name: BootStepName): void {
  milliseconds[name] = performance.now() - began;
  say({ boot: "step", step: name });
}

/** A started engine, and what puts its archives in place where they are still to come. */
interface Started {
  boot: Boot;
  how: "plain" | "snapshot";
  complete?: () => Promise<void>;
}

/** Public options only; what every doubt falls back to. */
async function startPlainly(parts: Parts, build: string): Promise<Started> {
  const pyodide = await startPython(parts, build, "plainly");
  step("engine");
  return { boot: bootOf(pyodide), how: "plain" };
}

async function startFrom(snapshot: KeptSnapshot, parts: Parts, build: string): Promise<Started> {
  const pyodide = await startPython(parts, build, snapshot);
  const complete = archivesToCome(pyodide);
  const boot = bootOf(pyodide);
  boot.restored();
  step("engine");
  if (!(await snapshot.isExpected(boot.handle(boot.self_test))))
    throw new Error("the self-test answered otherwise");
  return { boot, how: "snapshot", complete };
}

/** The start that leaves a snapshot for the next one. */
async function startAndSnapshot(parts: Parts, build: string): Promise<Started> {
  const pyodide = await startPython(parts, build, "to snapshot");
  step("engine");
  const boot = bootOf(pyodide);
  const expected = boot.handle(boot.self_test);
  void keep(pyodide, expected, build);
  return { boot, how: "plain" };
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

async function startSomehow(order: BootOrder): Promise<Started> {
  const mayKeep = order.start !== "plain" && typeof caches !== "undefined";
  // Asked for first: everything else waits for it.
  const kept = mayKeep && order.start !== "anew" ? keptSnapshot(order.build) : null;
  kept?.catch(() => undefined);
  const parts = fetchParts();
  if (!mayKeep) return startPlainly(parts, order.build);
  try {
    const snapshot = await kept;
    if (snapshot) return await startFrom(snapshot, parts, order.build);
  } catch (problem) {
    // What is missing is not the snapshot's fault.
    if (problem instanceof Trouble) throw problem;
    // A second interpreter in this worker would share its memory with a half-restored one.
    await dropSnapshot().catch(() => undefined);
    throw new Trouble("stopped", `the snapshot did not start: ${String(problem)}`);
  }
  return startAndSnapshot(parts, order.build);
}

function serve({ boot, complete }: Started): EngineWorker {
  let isWhole = !complete;
  const becomeWhole = async (): Promise<void> => {
    await complete?.();
    isWhole = true;
  };
  if (!isWhole) setTimeout(() => void becomeWhole().catch(fail), ARCHIVES_FOLLOW_MS);
  return {
    call: async (request) => {
      try {
        const reply = boot.handle(request);
        if (isWhole || !reply.startsWith(FAILED)) return reply;
        // What it wanted to import may not have come yet.
        await becomeWhole();
        return boot.handle(request);
      } catch (problem) {
        // The engine answers its own errors; what comes here is the interpreter's end, or its archives are gone.
        if (problem instanceof Trouble) fail(problem);
        else say({ boot: "died", detail: String(problem) });
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
    const started = await startSomehow(order);
    Comlink.expose(serve(started));
    step("check");
    say({ boot: "ready", milliseconds, start: started.how });
  } catch (problem) {
    fail(problem);
  }
}

self.addEventListener("message", (event: MessageEvent<BootOrder>) => {
  if (event.data?.boot === "start") void start(event.data);
});
