// The only caller of the worker: one request at a time, a new worker when one dies.
import * as Comlink from "comlink";
import type { Reply, Request } from "../generated/contract";
import { BUILD, WORKER_URL } from "../generated/version";
import {
  checkFiles,
  checkSoon,
  filesReady,
  isEngines,
  onComplete,
  onMended,
  openServed,
} from "../offline/updates";
import {
  BOOT_STEPS,
  type BootMessage,
  type BootOrder,
  type BootStep,
  type BootStepName,
  type EngineTrouble,
  type EngineWorker,
} from "./messages";

type EngineState = "starting" | "ready" | "failed";

type Failed = Extract<Reply, { op: "failed" }>;

type Refused = Extract<Reply, { op: "refused" }>;

/** What the contract calls the answer to each request; one that is new must stand here too. */
type Answers = Pick<
  { hello: "hello"; evaluate: "result"; check_answer: "ok"; report: "document"; open: "job" },
  Request["op"]
>;

/** What may come back for a request: its own answer, a refusal, or a failure. */
export type ReplyTo<R extends Request> = Extract<Reply, { op: Answers[R["op"]] }> | Refused | Failed;

export interface EngineClient {
  readonly state: EngineState;
  /** Why the engine failed or is being started again; null while all is well. */
  readonly trouble: EngineTrouble | null;
  /** How the worker started and in how many milliseconds to each step, for the benchmark. */
  readonly started: { start: string; milliseconds: Record<string, number> } | null;
  call<R extends Request>(request: R): Promise<ReplyTo<R>>;
  onState(callback: (state: EngineState, trouble: EngineTrouble | null) => void): () => void;
  restart(): void;
}

interface Waiting {
  request: string;
  tries: number;
  resolve(reply: string): void;
}

// Patience, not speed: long enough for a slow phone, short enough to say so in the end.
const STEP_PATIENCE_MS = 180_000;

const CALL_PATIENCE_MS = 120_000;
const DEATHS_IN_A_ROW = 3;
const STARTS_UNFINISHED = "platepath-starts-unfinished";

/** Set to "plain", it keeps to public options of Pyodide; for the benchmark and for finding faults. */
const START_SETTING = "platepath-start";

class Client implements EngineClient {
  state: EngineState = "starting";
  trouble: EngineTrouble | null = null;
  started: EngineClient["started"] = null;

  private worker: Worker | null = null;
  private remote: Comlink.Remote<EngineWorker> | null = null;
  private lives = 0;
  private deaths = 0;
  private patience: ReturnType<typeof setTimeout> | undefined;
  private readonly queue: Waiting[] = [];
  private running = false;
  private anew = false;
  /** Whether the worker of this life said anything: one that does not never ran its script. */
  private spoke = false;
  private readonly watchers = new Set<Parameters<EngineClient["onState"]>[0]>();

  constructor(private readonly onStep: (step: BootStep) => void) {
    void this.start();
    // A start without all files may wait for ever for what broke off.
    onComplete(() => {
      if (this.state !== "ready") this.restart();
    });
    onMended((files) => {
      // What runs from damaged files, or was kept of it, may answer anything.
      this.anew = files.some(isEngines);
      if (this.anew || this.state !== "ready") this.restart();
    });
  }

  async call<R extends Request>(request: R): Promise<ReplyTo<R>> {
    const reply = await new Promise<string>((resolve) => {
      this.queue.push({ request: JSON.stringify(request), tries: 0, resolve });
      if (this.state === "failed") this.refuseAll();
      else void this.next();
    });
    // Nothing but the engine of this very build answers: the contract of both is the same.
    const parsed: ReplyTo<R> = JSON.parse(reply);
    return parsed;
  }

  onState(callback: Parameters<EngineClient["onState"]>[0]): () => void {
    this.watchers.add(callback);
    return () => this.watchers.delete(callback);
  }

  restart(): void {
    this.deaths = 0;
    this.stop();
    this.become("starting", null);
    void this.start();
  }

  private async start(): Promise<void> {
    const life = ++this.lives;
    this.step("files");
    await filesReady();
    if (life !== this.lives) return;
    const worker = new Worker(new URL(WORKER_URL, document.baseURI), { type: "module" });
    this.worker = worker;
    this.spoke = false;
    const lock = `platepath-engine-${crypto.randomUUID()}`;
    worker.addEventListener("message", (event: MessageEvent<BootMessage>) => {
      if (life === this.lives && event.data?.boot) this.hear(event.data, life, lock);
    });
    worker.addEventListener("error", (event) => {
      event.preventDefault();
      this.died(life);
    });
    this.expect(STEP_PATIENCE_MS, () => this.fail("stalled"));
    const order: BootOrder = { boot: "start", build: BUILD, lock, start: this.chooseStart() };
    worker.postMessage(order);
  }

  /**
   * A start that did not get through may be the snapshot's fault, even where it took the whole page
   * with it. So starts are counted before and forgotten after they succeed.
   */
  private chooseStart(): BootOrder["start"] {
    try {
      if (localStorage.getItem(START_SETTING) === "plain") return "plain";
      const unfinished = Number(localStorage.getItem(STARTS_UNFINISHED) ?? 0);
      localStorage.setItem(STARTS_UNFINISHED, String(unfinished + 1));
      if (this.anew) return "anew";
      if (unfinished === 0) return "snapshot";
      return unfinished === 1 ? "anew" : "plain";
    } catch {
      return "plain";
    }
  }

  private hear(message: BootMessage, life: number, lock: string): void {
    this.spoke = true;
    if (message.boot === "step") {
      this.step(message.step);
      this.expect(STEP_PATIENCE_MS, () => this.fail("stalled"));
    } else if (message.boot === "failed") {
      console.error(message.detail);
      if (message.trouble === "stopped") this.died(life);
      else this.fail(message.trouble);
    } else if (message.boot === "snapshot") {
      document.documentElement.dataset["snapshot"] = message.kept ? "kept" : "refused";
      if (!message.kept) console.warn(message.detail);
    } else if (message.boot === "died") {
      console.error(message.detail);
      this.died(life);
    } else {
      this.started = message;
      this.remote = Comlink.wrap<EngineWorker>(this.worker!);
      // Granted only when the worker that holds it is gone, however it went.
      navigator.locks?.request(lock, () => this.died(life)).catch(() => undefined);
      void this.check(life);
    }
  }

  private async check(life: number): Promise<void> {
    const text = await this.remote!.call(JSON.stringify({ op: "hello" })).catch(() => null);
    if (life !== this.lives) return;
    if (text === null) return this.died(life);
    const hello: Partial<Extract<Reply, { op: "hello" }>> = JSON.parse(text);
    if (hello.build !== BUILD) return this.fail("mixed_versions");
    this.expect(0, () => undefined);
    forgetUnfinishedStarts();
    this.anew = false;
    checkSoon();
    performance.mark("platepath-engine-ready", { detail: this.started });
    document.documentElement.dataset["start"] = this.started?.start ?? "";
    this.step("check", true);
    this.become("ready", null);
    void this.next();
  }

  private async next(): Promise<void> {
    const first = this.queue[0];
    if (this.state !== "ready" || this.running || !first) return;
    const life = this.lives;
    this.running = true;
    first.tries += 1;
    this.expect(CALL_PATIENCE_MS, () => this.died(life));
    const reply = await this.remote!.call(first.request).catch(() => null);
    if (life !== this.lives) return;
    this.expect(0, () => undefined);
    if (reply === null) return this.died(life);
    this.running = false;
    this.deaths = 0;
    this.queue.shift();
    first.resolve(reply);
    void this.next();
  }

  private died(life: number): void {
    if (life !== this.lives) return;
    const wasStarting = this.state === "starting";
    this.stop();
    this.deaths += 1;
    const first = this.queue[0];
    // What kills two workers is not given to a third.
    if (first && first.tries > 1) {
      this.queue.shift();
      first.resolve(failure("stopped"));
    }
    if (this.deaths >= DEATHS_IN_A_ROW) return this.fail(this.spoke ? "stopped" : "parts_missing");
    this.become("starting", "stopped");
    void (wasStarting ? this.startOnWhole() : this.start());
  }

  /** A start that failed may be the fault of a file. What was damaged and came anew starts it by itself. */
  private async startOnWhole(): Promise<void> {
    const life = this.lives;
    const state = await checkFiles();
    openServed(state);
    if (life !== this.lives) return;
    if (state?.found?.lacking.some(isEngines)) this.fail("parts_missing");
    else void this.start();
  }

  private fail(trouble: EngineTrouble): void {
    this.stop();
    this.become("failed", trouble);
    this.refuseAll();
    void checkFiles().then(openServed);
  }

  private refuseAll(): void {
    for (const waiting of this.queue.splice(0)) waiting.resolve(failure(this.trouble ?? "stopped"));
  }

  private stop(): void {
    this.lives += 1;
    this.expect(0, () => undefined);
    this.worker?.terminate();
    this.worker = null;
    this.remote = null;
    this.running = false;
  }

  private step(name: BootStepName, done = false): void {
    const index = BOOT_STEPS.indexOf(name) + (done ? 1 : 0);
    this.onStep({ step: name, done: index, total: BOOT_STEPS.length });
  }

  private expect(milliseconds: number, otherwise: () => void): void {
    clearTimeout(this.patience);
    if (milliseconds) this.patience = setTimeout(otherwise, milliseconds);
  }

  private become(state: EngineState, trouble: EngineTrouble | null): void {
    this.state = state;
    this.trouble = trouble;
    // For tests and for whoever looks at the page's state from outside.
    document.documentElement.dataset["engine"] = state;
    document.documentElement.dataset["trouble"] = trouble ?? "";
    for (const watcher of this.watchers) watcher(state, trouble);
  }
}

function forgetUnfinishedStarts(): void {
  try {
    localStorage.removeItem(STARTS_UNFINISHED);
  } catch {
    return;
  }
}

function failure(trouble: EngineTrouble): string {
  return JSON.stringify({ op: "failed", id: trouble, message: "" });
}

/** Starts the engine as soon as its files are there; answers are given in the order of the calls. */
export function startEngine(onStep: (step: BootStep) => void): EngineClient {
  return new Client(onStep);
}
