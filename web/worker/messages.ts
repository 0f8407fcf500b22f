// What crosses between the page and its worker besides the engine's own JSON.

/** The named steps of the engine's start, in order. */
export const BOOT_STEPS = ["files", "runtime", "engine", "check"] as const;

export type BootStepName = (typeof BOOT_STEPS)[number];

export interface BootStep {
  step: BootStepName;
  done: number;
  total: number;
}

/** Why the engine did not start or went away. */
export type EngineTrouble =
  "web_assembly_blocked" | "stalled" | "stopped" | "mixed_versions" | "parts_missing";

/** Posted by the worker while it starts; never answered. */
export type BootMessage =
  | { boot: "step"; step: BootStepName }
  | { boot: "ready"; milliseconds: Record<string, number>; start: "plain" | "snapshot" }
  | { boot: "failed"; trouble: EngineTrouble; detail: string }
  | { boot: "snapshot"; kept: boolean; detail: string }
  /** The interpreter cannot go on; the page must start another worker. */
  | { boot: "died"; detail: string };

/** What the worker exposes through comlink. */
export interface EngineWorker {
  call(request: string): Promise<string>;
}

/** What the page says to its worker before anything else. */
export interface BootOrder {
  boot: "start";
  build: string;
  /** Held by the worker as long as it lives, so that the page learns of its death at once. */
  lock: string;
  /** From a snapshot or leaving one; with public options only; or leaving one without using any. */
  start: "snapshot" | "plain" | "anew";
}
