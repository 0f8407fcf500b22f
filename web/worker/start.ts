// Starts Python in named steps: plainly, from the snapshot, or leaving one.
import type { PyodideAPI } from "pyodide";
import type { BootMessage, BootOrder, BootStepName } from "./messages";
import { archivesToCome, type Boot, bootOf, fetchParts, type Parts, startPython, Trouble } from "./python";
import { dropSnapshot, keepSnapshot, type KeptSnapshot, keptSnapshot } from "./snapshot";

const began = performance.now();
export const milliseconds: Record<string, number> = {};

export function say(message: BootMessage): void {
  self.postMessage(message);
}

export function fail(problem: unknown): void {
  const trouble = problem instanceof Trouble ? problem.trouble : "stopped";
  say({ boot: "failed", trouble, detail: String(problem) });
}

export function step(name: BootStepName): void {
  milliseconds[name] = performance.now() - began;
  say({ boot: "step", step: name });
}

/** A started engine, and what puts its archives in place where they are still to come. */
export interface Started {
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

export async function startSomehow(order: BootOrder): Promise<Started> {
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
