// What crosses between the page and its service worker.

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
