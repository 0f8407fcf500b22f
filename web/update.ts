// Offline and updates as the page sees them. Nothing is replaced unless the person agrees.
import { messageSW, Workbox } from "workbox-window";
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
let workbox: Workbox | null = null;
let registered = false;
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
  return { accept: () => void accept(), later };
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
  if (container.controller) settleFiles();
  workbox = new Workbox(SERVICE_WORKER);
  workbox.addEventListener("waiting", () => void look());
  window.addEventListener("online", () => void register());
  await register();
  await look();
}

async function register(): Promise<void> {
  try {
    if (registered) await navigator.serviceWorker.register(SERVICE_WORKER);
    else await (workbox as Workbox).register({ immediate: true });
    registered = true;
  } catch (problem) {
    // Without a network the worker that is there goes on serving.
    if (!navigator.serviceWorker.controller) stopped({ cause: "storage", detail: String(problem) });
  }
}

function hear(message: ServiceMessage): void {
  if (message?.service === "progress" && message.first)
    tell({ kind: "first_visit", done: message.done, total: message.total });
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

/** Looks at what is served and what is newest, and tells. */
async function look(): Promise<void> {
  const controller = navigator.serviceWorker.controller;
  if (!controller) return;
  settleFiles();
  const newest = await waitingWorker();
  const state = await ask(newest ?? controller, { ask: "state" });
  if (state.current !== BUILD || state.own !== BUILD) {
    if (!declinedToday(state.own)) return tell({ kind: "update_waiting" });
  }
  tell({ kind: "offline_ready" });
}

async function waitingWorker(): Promise<ServiceWorker | null> {
  return (await navigator.serviceWorker.getRegistration())?.waiting ?? null;
}

function ask(worker: ServiceWorker, request: ServiceRequest): Promise<ServiceState> {
  return messageSW(worker, request) as Promise<ServiceState>;
}

async function accept(): Promise<void> {
  const waiting = await waitingWorker();
  const worker = waiting ?? navigator.serviceWorker.controller;
  if (!worker) return;
  const replaced = new Promise<void>((resolve) => {
    navigator.serviceWorker.addEventListener("controllerchange", () => resolve(), { once: true });
  });
  await ask(worker, { ask: "use" });
  if (waiting) await replaced;
  window.location.reload();
}

function later(): void {
  void waitingWorker().then(async (waiting) => {
    const worker = waiting ?? navigator.serviceWorker.controller;
    if (!worker) return;
    const { own } = await ask(worker, { ask: "state" });
    localStorage.setItem(DECLINED, JSON.stringify({ build: own, day: today() }));
    tell({ kind: "offline_ready" });
  });
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
