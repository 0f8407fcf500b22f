/** The engine as all screens use it: one request at a time, and the newest result of each job. */
import { useEffect, useState } from "preact/hooks";
import type * as Contract from "../generated/contract";
import { BUILD } from "../generated/version";
import type { JobRecord, SavedResult } from "../jobs/record";
import { getResult, keepResult } from "../jobs/results";
import type { EngineClient, ReplyTo } from "../worker/client";
import type { Problem } from "./questions";
import { redraw, useSession } from "./watching";

export type Verdict = Contract.Check["verdict"];

export type Check = Contract.Check;

export type ShownValue = Contract.Value;

export type Result = Contract.Result;

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

let engine: EngineClient | null = null;

/** What came of one evaluation, beside the result that is kept with the job. */
type Worked = { revision: number; problems: Problem[]; failure: string | null };

const outcomes = new Map<string, Worked>();
const waiting = new Map<string, JobRecord>();
let working = false;

export function setEngine(client: EngineClient): void {
  engine = client;
  const changed = (): void => {
    redraw();
    if (client.state === "ready") void work();
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
export async function ask<R extends Contract.Request>(request: R): Promise<ReplyTo<R>> {
  if (!engine) return { op: "failed", id: "", message: "" };
  try {
    return await engine.call(request);
  } catch (error) {
    return { op: "failed", id: "", message: error instanceof Error ? error.message : String(error) };
  }
}

function wantResult(record: JobRecord): void {
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
    const outcome: Worked = { revision: next.revision, problems: [], failure: null };
    if (reply.op === "result") {
      const { result } = reply;
      await keepResult(next, { id: next.id, revision: next.revision, engine: BUILD, result });
    } else if (reply.op === "refused") outcome.problems = reply.problems;
    else outcome.failure = reply.message;
    outcomes.set(next.id, outcome);
    redraw();
  }
  working = false;
}

/** Forgets failed work, so that it is tried again. */
export function tryAgain(record: JobRecord): void {
  outcomes.delete(record.id);
  wantResult(record);
}

/** The newest result of a job: the saved one at once, the fresh one as soon as the engine has it. */
export function useOutcome(record: JobRecord): Outcome {
  useSession();
  const [saved, setSaved] = useState<SavedResult | null>(null);
  const known = outcomes.get(record.id);
  const done = known?.revision;
  useEffect(() => {
    let live = true;
    void getResult(record.id).then((found) => {
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
    result: mine?.result ?? null,
    current: mine?.revision === record.revision && !told?.failure,
    stale: mine !== null && mine.revision !== record.revision,
    problems: told?.problems ?? [],
    failure: told?.failure ?? null,
  };
}
