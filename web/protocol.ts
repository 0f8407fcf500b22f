// What crosses between the page, its worker and its service worker besides the engine's own JSON.

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

/** One file of a version, as the service worker keeps it. */
export interface FileEntry {
  url: string;
  sha256: string;
  bytes: number;
}

export interface Version {
  build: string;
  files: FileEntry[];
}

/**
 * Why a file did not come: the network broke off; something else came in its place, as from a sign-in page or in the
 * middle of an update of the server; or the browser did not keep it.
 */
export type Cause = "network" | "foreign" | "storage";

/** What a check of every file against its hash found. */
export interface Findings {
  /** Files that were missing or damaged and are whole again: a page may have begun without them, or with what was there. */
  mended: string[];
  /** The same of files that came before anything was made of them. */
  renewed: string[];
  /** Files that are missing still. */
  lacking: string[];
  cause: Cause | null;
  detail: string;
}

/** Posted by the service worker to every page. */
export type ServiceMessage =
  | { service: "complete" }
  | { service: "progress"; done: number; total: number; first: boolean }
  | {
      service: "download_failed";
      first: boolean;
      cause: Cause;
      detail: string;
    };

/** Asked of a service worker by a page, answered through the message's port. */
export type ServiceRequest =
  | { ask: "state" }
  /** The person agreed: this worker's version is the one to serve from now on. */
  | { ask: "use" }
  /** Checks every file against its hash, and fetches anew what is not whole. */
  | { ask: "check" };

/** Said to the service worker by a page whose script runs. */
export interface Running {
  ask: "running";
}

export interface ServiceState {
  /** The version that pages are given. */
  current: string | null;
  /** The version that this service worker brought, complete. */
  own: string;
  /** Where a check was asked for. */
  found: Findings | null;
}
