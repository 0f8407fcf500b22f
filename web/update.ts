// Offline and updates as the page sees them. Nothing is replaced unless the person agrees.
import { BUILD } from "./generated/version";
import type { ServiceMessage, ServiceRequest, ServiceState } from "./protocol";

export type UpdateState =
  | { kind: "first_visit"; done: number; total: number }
  | { kind: "offline_ready" }
  | { kind: "update_waiting" }
  | { kind: "unsupported"; message: string }
  | { kind: "failed"; message: string };

type Watcher = (state: UpdateState) => void;

const SERVICE_WORKER = "./service_worker.js";
const RETRY_MS = 15_000;
const DECLINED = "platepath-update-declined";

const watchers = new Set<Watcher>();
let last: UpdateState | null = null;
let begun: Promise<void> | null = null;
let settleFiles: () => void;
const files = new Promise<void>((resolve) => {
  settleFiles = resolve;
});

/** Resolves once every file is on the device, or it is known that this browser keeps none. */
export function filesReady(): Promise<void> {
  void (begun ??= begin());
  return files;
}

/** Tells of the first download and of updates; `accept` and `later` answer a waiting update. */
export function watchUpdates(callback: Watcher): { accept(): void; later(): void } {
  watchers.add(callback);
  if (last) callback(last);
  void (begun ??= begin());
  return { accept: () => void accept(), later: () => void later() };
}

function tell(state: UpdateState): void {
  last = state;
  document.documentElement.dataset["offline"] = state.kind;
  for (const watcher of watchers) watcher(state);
}

async function begin(): Promise<void> {
  document.documentElement.dataset["build"] = BUILD;
  if (!("serviceWorker" in navigator)) {
    tell({
      kind: "unsupported",
      message: window.isSecureContext
        ? "This browser keeps no files for offline use in this window. Use a normal, not a private window."
        : "Offline use needs a page opened over https.",
    });
    return settleFiles();
  }
  const container = navigator.serviceWorker;
  container.addEventListener("message", (event: MessageEvent<ServiceMessage>) => hear(event.data));
  container.startMessages();
  container.addEventListener("controllerchange", () => void look());
  document.addEventListener("visibilitychange", () => void (document.hidden || look()));
  // A forced reload goes past the service worker, though it is there.
  if (container.controller || (await container.getRegistration())?.active) settleFiles();
  window.addEventListener("online", () => void register());
  await register();
  await look();
}

async function register(): Promise<void> {
  try {
    const registration = await navigator.serviceWorker.register(SERVICE_WORKER);
    const follow = () => {
      const coming = registration.installing;
      coming?.addEventListener("statechange", () => {
        if (coming.state === "installed") void look();
      });
    };
    registration.onupdatefound = follow;
    follow();
  } catch (problem) {
    // Without a network the worker that is there goes on serving.
    if (!navigator.serviceWorker.controller) stopped({ cause: "storage", detail: String(problem) });
  }
}

function hear(message: ServiceMessage): void {
  if (message?.service === "progress" && message.first)
    tell({ kind: "first_visit", done: message.done, total: message.total });
  if (message?.service === "complete") void look();
  if (message?.service === "download_failed" && message.first) stopped(message);
}

function stopped(why: { cause: "network" | "storage"; detail: string }): void {
  console.warn(why.detail);
  if (why.cause === "network") {
    tell({
      kind: "failed",
      message:
        "The download stopped before everything was here. It goes on from where it stopped when the network is back. Not yet ready for offline use.",
    });
    setTimeout(() => void register(), RETRY_MS);
  } else {
    tell({
      kind: "failed",
      message:
        "This browser did not keep the files, so the app works only with a network. Free some space or use a normal, not a private window.",
    });
    settleFiles();
  }
}

let looks = 0;

/** Looks at what is served and what is newest, and tells. */
async function look(): Promise<void> {
  if (navigator.serviceWorker.controller) settleFiles();
  const turn = ++looks;
  const newest = await newestWorker();
  if (!newest) return;
  const state = await ask(newest, { ask: "state" });
  // An older worker has to wake up first: its answer must not cover that of the newer one.
  if (turn !== looks) return;
  // The system emptied the cache; what is missing is coming in.
  if (state.current === null) return;
  const waits = state.current !== BUILD || state.own !== BUILD;
  tell({ kind: waits && !declinedToday(state.own) ? "update_waiting" : "offline_ready" });
}

/** The worker that holds the newest complete version; null while the first one is coming in. */
async function newestWorker(): Promise<ServiceWorker | null> {
  const registration = await navigator.serviceWorker.getRegistration();
  return registration?.waiting ?? registration?.active ?? null;
}

function ask(worker: ServiceWorker, request: ServiceRequest): Promise<ServiceState> {
  const { port1, port2 } = new MessageChannel();
  return new Promise((resolve) => {
    port1.onmessage = (event: MessageEvent<ServiceState>) => resolve(event.data);
    worker.postMessage(request, [port2]);
  });
}

async function accept(): Promise<void> {
  const worker = await newestWorker();
  const replaces = worker?.state === "installed";
  const replaced = new Promise<void>((resolve) => {
    navigator.serviceWorker.addEventListener("controllerchange", () => resolve(), { once: true });
  });
  if (worker) await ask(worker, { ask: "use" });
  if (replaces) await replaced;
  window.location.reload();
}

async function later(): Promise<void> {
  const worker = await newestWorker();
  if (!worker) return;
  const { own } = await ask(worker, { ask: "state" });
  localStorage.setItem(DECLINED, JSON.stringify({ build: own, day: today() }));
  tell({ kind: "offline_ready" });
}

function declinedToday(build: string): boolean {
  try {
    const declined = JSON.parse(localStorage.getItem(DECLINED) ?? "null");
    return declined?.build === build && declined?.day === today();
  } catch {
    return false;
  }
}

function today(): string {
  return new Date().toDateString();
}
