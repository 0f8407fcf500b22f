/** What the engine asks, as it says it: questions, groups, purposes, and the answers of a job. */
import type * as Contract from "../generated/contract";

type Value = string | number | boolean | null | (string | number)[];

export type Answers = { [key: string]: unknown };

export type Condition =
  | { path: string; is: Value }
  | { path: string; one_of: Value[] }
  | { path: string; known: boolean }
  | { all: Condition[] }
  | { any: Condition[] }
  | { not: Condition };

export type Choice = Omit<Contract.Choice, "value" | "when"> & {
  value: string | number | boolean;
  when?: Condition | null;
};

/** Everything the engine says of a question, its open parts narrowed to what the screen can use. */
export type Question = Omit<Contract.Question, "choices" | "when"> & {
  choices: Choice[];
  when: Condition | null;
};

export type Group = Contract.QuestionGroup;

export type Purpose = Omit<Contract.PurposeOffered, "id"> & { id: string };

/** Several questions on one screen, with the usual combinations of their answers to tap, if there are any. */
export type Together = Contract.Together;

/** How what is asked of the first run is asked of the others. */
export type FurtherRuns = Omit<Contract.FurtherRuns, "questions"> & { questions: Question[] };

/** The whole wizard, as a file of the app holds it. Where nothing comes in runs, it says nothing of them. */
export type Questions = Omit<Contract.Questions, "purposes" | "questions" | "further_runs"> & {
  purposes: Purpose[];
  questions: Question[];
  further_runs?: FurtherRuns;
};

/** The format of the jobs that the app writes. */
export const JOB_FORMAT: Contract.Job["format"] = "platepath.job/1";
