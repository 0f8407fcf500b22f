// Offline and updates as the page sees them. Nothing is replaced unless the person agrees.
import { BUILD } from "../generated/version";
import type { Cause, Running, ServiceMessage, ServiceRequest, ServiceState } from "./messages";

export type UpdateState =
  | { kind: "first_visit"; done: number; total: number }
  | { kind: "offline_ready" }
  /** Whole again after damage. Where the page itself may run on damaged files, it should be opened again. */
  | { kind: "mended"; reopen: boolean }
  | { kind: "update_waiting" }
  | { kind: "unsupported"; message: string }
  | { kind: "failed"; cause: Failure; message: string };

/** Damaged: files are missing that were here before. */
type Failure = Cause | "damaged";

type Watcher = (state: UpdateState) => void;
const SERVICE_WORKER = "./service_worker.js";
const RETRY_MS = 15_000;
const ASK_AGAIN_MS = 10_000;

/** A download that says nothing for so long may have ended without a word. */
const SILENCE_MS = 60_000;

/** When the files are checked after a start: soon, once it is over, and in any case. */
const CHECK_SOON_MS = 1_000;

const CHECK_AT_LAST_MS = 15_000;
const DECLINED = "platepath-update-declined";
const OPENED = "platepath-opened";
const MENDED = "platepath-mended";
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

const whenComplete = new Set<() => void>();

/** Calls back when files that were missing have come: for the first time, or after the system took them away. */
export function onComplete(act: () => void): void {
  whenComplete.add(act);
}

const whenMended = new Set<(files: string[]) => void>();

/** Calls back with the files that were missing or damaged and are whole again. */
export function onMended(act: (files: string[]) => void): void {
  whenMended.add(act);
}

/** Tells the service worker that the page's script runs: it looks after a page that says nothing. */
export function sayRunning(): void {
  navigator.serviceWorker?.controller?.postMessage({ ask: "running" } satisfies Running);
}

/** Nothing is called ready before every file was checked against its hash. */
let verified = false;

let mended: "" | "renewed" | "mended" = saidBefore();

/** A page that showed how the files come need not say that they came. */
let showed = false;

let planned: ReturnType<typeof setTimeout> | undefined;
let checking: Promise<ServiceState | null> | null = null;

/** Has the files checked after a start, when that is in nobody's way. */
export function checkSoon(milliseconds = CHECK_SOON_MS): void {
  clearTimeout(planned);
  planned = setTimeout(() => void checkFiles(), milliseconds);
}

/** Has every file checked and what is damaged fetched anew; null where nothing is kept. */
export function checkFiles(): Promise<ServiceState | null> {
  clearTimeout(planned);
  return (checking ??= check().finally(() => (checking = null)));
}

async function check(): Promise<ServiceState | null> {
  const worker = (await registered())?.active;
  const state = worker ? await ask(worker, { ask: "check" }) : null;
  if (!state?.found) return null;
  performance.mark("platepath-files-checked");
  verified = state.found.lacking.length === 0;
  const files = state.found.mended;
  if (files.length) {
    mended = files.every(isEngines) ? mended || "renewed" : "mended";
    for (const act of whenMended) act(files);
  }
  if (state.found.renewed.length) {
    if (!showed) mended ||= "renewed";
    showed = false;
  }
  if (verified) await look();
  else stopped({ ...state.found, cause: state.found.cause === "storage" ? "storage" : "damaged" });
  return state;
}

/** Whether a file is of the engine, not of the page. */
export function isEngines(file: string): boolean {
  return /^(python\/|worker-)/.test(file);
}

/** Opens the version that is served where this page is of another one, once. */
export function openServed(state: ServiceState | null): void {
  if (!state?.current || state.current === BUILD) return;
  try {
    if (sessionStorage.getItem(OPENED) === state.current) return;
    sessionStorage.setItem(OPENED, state.current);
  } catch {
    return;
  }
  location.reload();
}

/** Opens the page again on files that were mended; the page that opens says so. */
export function openMended(): void {
  try {
    sessionStorage.setItem(MENDED, "renewed");
  } catch {
    // Where nothing is kept it opens without the word.
  }
  location.reload();
}

/** Whether the page before this one was opened again because files were mended. */
function saidBefore(): "" | "renewed" {
  try {
    const said = sessionStorage.getItem(MENDED);
    sessionStorage.removeItem(MENDED);
    return said ? "renewed" : "";
  } catch {
    return "";
  }
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
  if (container.controller || (await registered())?.active) settleFiles();
  window.addEventListener("online", () => void goOn());
  checkSoon(CHECK_AT_LAST_MS);
  await goOn();
}

/** Goes on with what is not finished: the registration, the download, the word about it. */
async function goOn(): Promise<void> {
  await register();
  await (failure === "damaged" ? checkFiles() : look());
}

async function register(): Promise<void> {
  try {
    const registration = await navigator.serviceWorker.register(SERVICE_WORKER);
    registration.onupdatefound = () => follow(registration.installing);
    follow(registration.installing);
  } catch (problem) {
    // Without a network the worker that is there goes on serving.
    if ((await registered())?.active) return;
    stopped({ cause: await whyRefused(problem), detail: String(problem) });
    settleFiles();
  }
}

/** Why the browser took no service worker: what came as its script is no script, or the browser wants none. */
async function whyRefused(problem: unknown): Promise<Cause> {
  const came = await fetch(SERVICE_WORKER, { cache: "no-store", redirect: "manual" }).catch(() => null);
  if (!came) return "network";
  if (!came.ok || !came.headers.get("Content-Type")?.includes("javascript")) return "foreign";
  // The script could not be fetched: all other refusals have a name of their own.
  return problem instanceof TypeError ? "network" : "storage";
}

const followed = new WeakSet<ServiceWorker>();

function follow(coming: ServiceWorker | null): void {
  if (!coming || followed.has(coming)) return;
  followed.add(coming);
  coming.addEventListener("statechange", () => {
    if (coming.state === "installed") void look();
    // The browser ends a worker that takes too long, and such a one says nothing more.
    if (coming.state === "redundant") void ended();
  });
}

async function ended(): Promise<void> {
  const there = await registered();
  if (there?.installing || there?.waiting || there?.active) return look();
  if (!failure) stopped({ cause: "network", detail: "the service worker was ended" });
  // Why it ended has been said. Without room on the device another try ends in the same way.
  else if (failure !== "storage") goOnAfter(RETRY_MS);
}

function hear(message: ServiceMessage): void {
  if (message?.service === "progress" && message.first) {
    failure = null;
    showed = true;
    tell({ kind: "first_visit", done: message.done, total: message.total });
    goOnAfter(SILENCE_MS);
    // The word that all is complete comes on another road and may have come before.
    if (message.done === message.total) void look();
  }
  if (message?.service === "complete") {
    if (last?.kind === "first_visit" || last?.kind === "failed") {
      // Each file was held against its hash as it came.
      verified = failure !== "damaged";
      for (const act of whenComplete) act();
    }
    void goOn();
  }
  if (message?.service === "download_failed" && message.first) stopped(message);
}

let failure: Failure | null = null;
let waited: ReturnType<typeof setTimeout> | undefined;

function goOnAfter(milliseconds: number): void {
  clearTimeout(waited);
  waited = setTimeout(() => void goOn(), milliseconds);
}

function stopped(why: { cause: Failure; detail: string }): void {
  console.warn(why.detail);
  failure = why.cause;
  clearTimeout(waited);
  tell({ kind: "failed", cause: why.cause, message: why.detail });
  if (why.cause === "storage") settleFiles();
  else goOnAfter(RETRY_MS);
}

let looks = 0;

/** Looks at what is served and what is newest, and tells. */
async function look(): Promise<void> {
  if (navigator.serviceWorker.controller) settleFiles();
  const turn = ++looks;
  const newest = await newestWorker();
  const state = newest && (await ask(newest, { ask: "state" }));
  // An older worker has to wake up first: its answer must not cover that of the newer one.
  if (turn !== looks || !newest) return;
  if (!state) {
    // It went while it was asked; another one may have come in its place.
    if ((await newestWorker()) !== newest) await look();
    return;
  }
  // The system emptied the cache; what is missing is coming in.
  if (state.current === null) return;
  const waits = state.current !== BUILD || state.own !== BUILD;
  if (waits && !declinedToday(state.own)) tell({ kind: "update_waiting" });
  else if (verified) ready();
}

function ready(): void {
  failure = null;
  tell(mended ? { kind: "mended", reopen: mended === "mended" } : { kind: "offline_ready" });
}

/** What the browser holds for this app; null also where it refuses to say. */
async function registered(): Promise<ServiceWorkerRegistration | null> {
  return (await navigator.serviceWorker?.getRegistration().catch(() => null)) ?? null;
}

/** The worker that holds the newest complete version; null while the first one is coming in. */
async function newestWorker(): Promise<ServiceWorker | null> {
  const registration = await registered();
  return registration?.waiting ?? registration?.active ?? null;
}

/** A worker's answer, or null when the worker is gone. A question may be asked twice. */
function ask(worker: ServiceWorker, request: ServiceRequest): Promise<ServiceState | null> {
  return new Promise((resolve) => {
    const end = (state: ServiceState | null) => {
      clearInterval(again);
      worker.removeEventListener("statechange", gone);
      resolve(state);
    };
    const gone = () => worker.state === "redundant" && end(null);
    const say = () => {
      const { port1, port2 } = new MessageChannel();
      port1.onmessage = (event: MessageEvent<ServiceState>) => end(event.data);
      worker.postMessage(request, [port2]);
    };
    // What is said to a worker that just ends is lost without a word.
    const again = setInterval(say, ASK_AGAIN_MS);
    worker.addEventListener("statechange", gone);
    if (worker.state === "redundant") end(null);
    else say();
  });
}

async function accept(): Promise<void> {
  const worker = await newestWorker();
  if (worker && (await ask(worker, { ask: "use" }))) await inPlace(worker);
  window.location.reload();
}

/** Resolves when a worker serves this page, or never will. */
function inPlace(worker: ServiceWorker): Promise<void> {
  return new Promise((resolve) => {
    const see = () => {
      if (worker.state === "activated" || worker.state === "redundant") resolve();
    };
    worker.addEventListener("statechange", see);
    navigator.serviceWorker.addEventListener("controllerchange", () => resolve(), { once: true });
    see();
  });
}

async function later(): Promise<void> {
  const worker = await newestWorker();
  const state = worker && (await ask(worker, { ask: "state" }));
  if (!state) return;
  try {
    localStorage.setItem(DECLINED, JSON.stringify({ build: state.own, day: today() }));
  } catch {
    // Where nothing is kept it is offered again with the next start.
  }
  ready();
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
