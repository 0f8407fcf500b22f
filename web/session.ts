/** What all screens share while the app is open: the questions, the engine, the latest results, undo and announcements. */
import { useEffect, useState } from "preact/hooks";
import type { EngineClient } from "./engine_client";
import type * as Contract from "./generated/contract";
import { BUILD } from "./generated/version";
import { questionAt } from "./runs";
import * as store from "./store";
import { answerWordSet, language, t } from "./words/words";
import {
  inLanguage,
  jobLine,
  read,
  type Answers,
  type Choice,
  type Question,
  type Questions,
} from "./wizard";

export type Verdict = Contract.Check["verdict"];
export type Check = Contract.Check;
export type ShownValue = Contract.Value;
export type Result = Contract.Result;
export type Problem = Contract.Problem;
export type Paper = NonNullable<Contract.ReportRequest["paper"]>;
export type ReportDocument = Contract.DocumentReply;

export type Outcome = {
  result: Result | null;
  current: boolean;
  /** Whether the job has changed since the result, so that a verdict may be out of date. */
  stale: boolean;
  problems: Problem[];
  failure: string | null;
};

type Reply = { op: string; [field: string]: unknown };

let questionsFile: Questions | null = null;
let engine: EngineClient | null = null;
let engineEditions: number[] = [];
const outcomes = new Map<string, { revision: number; problems: Problem[]; failure: string | null }>();
const waiting = new Map<string, store.JobRecord>();
let working = false;
const watchers = new Set<() => void>();

export type Undo = { text: string; act: () => void };
let undo: Undo | null = null;
let notice: string | null = null;
let announced = "";

function redraw(): void {
  for (const watcher of watchers) watcher();
}

/** Draws the calling part again whenever something shared changes. */
export function useSession(): void {
  const [, again] = useState({});
  useEffect(() => {
    const watcher = (): void => again({});
    watchers.add(watcher);
    return () => void watchers.delete(watcher);
  }, []);
}

export function setQuestions(next: Questions): void {
  questionsFile = next;
  store.sayLinesWith(lineOf);
}

export function questions(): Questions {
  if (!questionsFile) throw new Error("questions are used before they are loaded");
  return questionsFile;
}

export function findQuestion(path: string): Question | null {
  return questionAt(questions(), path);
}

export function editions(): Choice[] {
  const listed = questions().editions ?? findQuestion("edition")?.choices ?? [];
  if (listed.length !== 0) return listed;
  return engineEditions.map((year) => ({ value: year, label: String(year) }));
}

export function lineOf(job: Answers): string {
  return jobLine(questions(), job, language(), answerWordSet());
}

export function setEngine(client: EngineClient): void {
  engine = client;
  const changed = (): void => {
    redraw();
    if (client.state !== "ready") return;
    void work();
    void ask({ op: "hello" }).then((reply) => {
      engineEditions = Array.isArray(reply["editions"]) ? (reply["editions"] as number[]) : [];
      redraw();
    });
  };
  client.onState(changed);
  changed();
}

export function engineState(): EngineClient["state"] {
  return engine?.state ?? "starting";
}

export function engineTrouble(): EngineClient["trouble"] {
  return engine?.trouble ?? null;
}

export function restartEngine(): void {
  engine?.restart();
}

/** One request to the engine; every trouble comes back as a reply, never as a throw. */
export async function ask(request: Reply): Promise<Reply> {
  if (!engine) return { op: "failed", id: "", message: "" };
  try {
    return (await engine.call(request as Parameters<EngineClient["call"]>[0])) as unknown as Reply;
  } catch (error) {
    return { op: "failed", id: "", message: error instanceof Error ? error.message : String(error) };
  }
}

function wantResult(record: store.JobRecord): void {
  const known = outcomes.get(record.id);
  if (known?.revision === record.revision) return;
  waiting.set(record.id, record);
  void work();
}

async function work(): Promise<void> {
  if (working || engineState() !== "ready") return;
  working = true;
  for (;;) {
    const next = waiting.values().next().value;
    if (!next || engineState() !== "ready") break;
    waiting.delete(next.id);
    const reply = await ask({ op: "evaluate", job: next.job });
    const outcome = { revision: next.revision, problems: [] as Problem[], failure: null as string | null };
    if (reply.op === "result") {
      const result = reply["result"] as Answers;
      await store.keepResult(next, { id: next.id, revision: next.revision, engine: BUILD, result });
    } else if (reply.op === "refused") outcome.problems = reply["problems"] as Problem[];
    else outcome.failure = String(reply["message"] ?? "");
    outcomes.set(next.id, outcome);
    redraw();
  }
  working = false;
}

/** Forgets failed work, so that it is tried again. */
export function tryAgain(record: store.JobRecord): void {
  outcomes.delete(record.id);
  wantResult(record);
}

/** A job as the storage has it; the last that was shown, once it is erased elsewhere; undefined while it is being read. */
export type Loaded = store.Found | { erased: store.JobRecord } | undefined;

export function isJob(loaded: Loaded): loaded is store.JobRecord {
  return Boolean(loaded) && "job" in (loaded as object);
}

/** One job as it is now, in whichever tab it changes. */
export function useJob(id: string): Loaded {
  const [loaded, setLoaded] = useState<Loaded>(undefined);
  useEffect(() => {
    let live = true;
    const load = (): void => {
      void store.getJob(id).then((found) => {
        if (!live) return;
        setLoaded((before) => {
          if (found !== null || !before) return found;
          return isJob(before) ? { erased: before } : "erased" in before ? before : found;
        });
      });
    };
    load();
    const stop = store.onChange((changed) => {
      // Null: the storage answers again, or no more.
      if (changed === id || changed === null) load();
    });
    return () => {
      live = false;
      stop();
    };
  }, [id]);
  return loaded;
}

/** The newest result of a job: the saved one at once, the fresh one as soon as the engine has it. */
export function useOutcome(record: store.JobRecord): Outcome {
  useSession();
  const [saved, setSaved] = useState<store.SavedResult | null>(null);
  const known = outcomes.get(record.id);
  const done = known?.revision;
  useEffect(() => {
    let live = true;
    void store.getResult(record.id).then((found) => {
      if (!live) return;
      setSaved(found);
      const fresh = found?.revision === record.revision && found.engine === BUILD;
      if (!fresh) wantResult(record);
    });
    return () => {
      live = false;
    };
  }, [record.id, record.revision, done]);
  const mine = saved?.id === record.id ? saved : null;
  const told = known?.revision === record.revision ? known : null;
  return {
    result: mine ? (mine.result as unknown as Result) : null,
    current: mine?.revision === record.revision && !told?.failure,
    stale: mine !== null && mine.revision !== record.revision,
    problems: told?.problems ?? [],
    failure: told?.failure ?? null,
  };
}

/** What is wrong and what would be right, as a sentence. */
export function problemWords(problem: Problem): string {
  const wrong = problem.wrong.charAt(0).toUpperCase() + problem.wrong.slice(1);
  return t("wrong_and_right", {
    wrong: wrong.replace(/[.;:]$/, ""),
    right: problem.right.replace(/\.$/, ""),
  });
}

/** The same with the name of what it is about, for a problem that stands away from its field. */
export function namedProblem(problem: Problem): string {
  const question = findQuestion(problem.path);
  const name = question ? inLanguage(question, "label", language()) : problem.path;
  return name ? `${name}: ${problemWords(problem)}` : problemWords(problem);
}

/** Speaks through the polite live region. */
export function say(text: string): void {
  announced = text === announced ? `${text}\u00a0` : text;
  redraw();
}

export function spoken(): string {
  return announced;
}

export function offerUndo(next: Undo | null): void {
  undo = next;
  redraw();
}

export function undoOffered(): Undo | null {
  return undo;
}

/** Shows words above the page until they are closed; null takes them away. */
export function notify(text: string | null): void {
  notice = text;
  redraw();
}

export function noticeShown(): string | null {
  return notice;
}

/** Goes to another screen. */
export function go(hash: string): void {
  location.hash = hash;
}

export function jobName(job: Answers): string {
  const name = read(job, "name");
  return typeof name === "string" ? name : "";
}

/** Hands a file to the phone's share sheet, or saves it where there is none. */
export async function handOver(name: string, type: string, text: string, share: boolean): Promise<void> {
  const file = new File([text], name, { type });
  // Some share sheets take no other files than plain text; opening reads both alike.
  const plain = new File([text], `${name}.txt`, { type: "text/plain" });
  const shared = share ? [file, plain].find((one) => navigator.canShare?.({ files: [one] })) : undefined;
  if (shared) {
    try {
      await navigator.share({ files: [shared], title: name });
      return;
    } catch (error) {
      if (error instanceof DOMException && error.name === "AbortError") return;
    }
  }
  const link = document.createElement("a");
  link.href = URL.createObjectURL(file);
  link.download = name;
  link.click();
  setTimeout(() => URL.revokeObjectURL(link.href), 60_000);
}

/** A file name from what a person typed. */
export function fileName(text: string, ending: string): string {
  const plain = text
    .normalize("NFKD")
    .replace(/[^\p{L}\p{N}]+/gu, "-")
    .replace(/^-+|-+$/g, "")
    .slice(0, 60);
  return `${plain || "job"}.${ending}`;
}
