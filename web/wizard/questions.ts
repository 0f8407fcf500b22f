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

export type Translations<T> = { [language: string]: Partial<T> };

export type Choice = {
  value: string | number | boolean;
  label: string;
  when?: Condition | null;
};

/** Everything the engine says of a question, its open parts narrowed to what the screen can use. */
export type Question = Omit<Contract.Question, "choices" | "when"> & {
  choices: Choice[];
  when: Condition | null;
  translations?: Translations<{
    ask: string;
    label: string;
    help: string;
    choices: { [value: string]: string };
  }> | null;
};

export type Group = Contract.QuestionGroup & {
  translations?: Translations<{ title: string; text: string }> | null;
};

export type Purpose = Omit<Contract.PurposeOffered, "id"> & Group & { id: string };

/** Several questions on one screen, with the usual combinations of their answers to tap, if there are any. */
export type Together = Contract.Together & {
  translations?: Translations<{ ask: string; help: string; choices: { [value: string]: string } }> | null;
};

/** Something that no question and no check looks at. */
type Limit = { text: string; translations?: Translations<{ text: string }> | null };

/** How what is asked of the first run is asked of the others. */
export type FurtherRuns = Omit<Contract.FurtherRuns, "questions" | "translations"> & {
  questions: Question[];
  translations?: Translations<{ name: string; title: string; text: string }> | null;
};

export type Questions = {
  format: string;
  job_format?: string | null;
  editions?: Choice[] | null;
  default_edition?: number | null;
  summary?: string[] | null;
  cautions?: string[] | null;
  purposes: Purpose[];
  groups: Group[];
  questions: Question[];
  together?: Together[] | null;
  further_runs?: FurtherRuns | null;
  limits?: Limit[] | null;
};
