/** Several runs of one kind in a job: the questions of the first are asked of each, by paths and names of their own. */
import { read } from "./paths";
import type { Answers, Condition, FurtherRuns, Question, Questions } from "./questions";

/** The runs after the first, as the job holds them. */
function furtherRuns(runs: FurtherRuns, job: Answers): unknown[] {
  const listed = read(job, runs.path);
  return Array.isArray(listed) ? listed : [];
}

/** How many runs the job has; the first is always there. */
export function runCount(questions: Questions, job: Answers): number {
  return 1 + (questions.further_runs ? furtherRuns(questions.further_runs, job).length : 0);
}

/** The part of the job that a path of the first run begins with, where each run has one of its own. */
function placeOf(runs: FurtherRuns, path: string): string | null {
  const part = path.split(".").slice(0, 2).join(".");
  return Object.hasOwn(runs.places, part) ? part : null;
}

/** The path of the same fact in a run, counted from 0; of what all runs share it is the path itself. */
export function pathInRun(runs: FurtherRuns, path: string, run: number): string {
  const own = `${runs.path}.0.`;
  if (run === 0) return path;
  if (path.startsWith(own)) return `${runs.path}.${run - 1}.${path.slice(own.length)}`;
  const part = placeOf(runs, path);
  return part === null
    ? path
    : `${runs.path}.${run - 1}.${String(runs.places[part])}${path.slice(part.length)}`;
}

/** The run that a path is of, counted from 0; what all runs share is of the first. */
export function runAt(runs: FurtherRuns, path: string): number {
  const index = path.startsWith(`${runs.path}.`) ? path.slice(runs.path.length + 1).split(".")[0] : "";
  return index && /^\d$/.test(index) ? Number(index) + 1 : 0;
}

function inRun(runs: FurtherRuns, when: Condition, run: number): Condition {
  const each = (part: Condition): Condition => inRun(runs, part, run);
  if ("all" in when) return { all: when.all.map(each) };
  if ("any" in when) return { any: when.any.map(each) };
  if ("not" in when) return { not: each(when.not) };
  return { ...when, path: pathInRun(runs, when.path, run) };
}

/** What people call a run. */
export function runName(runs: FurtherRuns, run: number, language: string): string {
  return `${runs.translations?.[language]?.name ?? runs.name} ${run + 1}`;
}

/** The question under the name of its run. */
function named(runs: FurtherRuns, question: Question, run: number): Question {
  const say = (text: string, language: string): string => `${runName(runs, run, language)} · ${text}`;
  const translations: Question["translations"] = {};
  for (const [language, words] of Object.entries(question.translations))
    translations[language] = {
      ...words,
      label: say(words.label, language),
      ask: say(words.ask, language),
    };
  return {
    ...question,
    label: say(question.label, "en"),
    ask: say(question.ask, "en"),
    translations,
  };
}

const kept = new WeakMap<Questions, Question[][]>();

/** What is asked of one run, in the order of the walk. */
export function questionsOfRun(questions: Questions, run: number): Question[] {
  const runs = questions.further_runs;
  if (!runs) return [];
  const known = kept.get(questions) ?? [];
  kept.set(questions, known);
  known[run] ??= (run === 0 ? questions.questions : [...questions.questions, ...runs.questions])
    .filter((question) => placeOf(runs, question.path) !== null || question.path.startsWith(`${runs.path}.`))
    .map((question) =>
      named(
        runs,
        {
          ...question,
          path: pathInRun(runs, question.path, run),
          when: question.when && inRun(runs, question.when, run),
        },
        run,
      ),
    );
  return known[run] ?? [];
}

/** The question at a path of any run. */
export function questionAt(questions: Questions, path: string): Question | null {
  const run = questions.further_runs ? runAt(questions.further_runs, path) : 0;
  const mine = run === 0 ? questions.questions : questionsOfRun(questions, run);
  return mine.find((question) => question.path === path) ?? null;
}

/** The questions as they are asked of a job: where it has several runs, those of each under its name, run by run. */
export function questionsOfJob(questions: Questions, job: Answers): Question[][] {
  const count = runCount(questions, job);
  if (count === 1) return [questions.questions];
  const first = new Map(questionsOfRun(questions, 0).map((question) => [question.path, question]));
  return [
    questions.questions.map((question) => first.get(question.path) ?? question),
    ...Array.from({ length: count - 1 }, (_, index) => questionsOfRun(questions, index + 1)),
  ];
}

/** The further runs with one more, of which nothing is known yet. */
export function withOneMore(runs: FurtherRuns, job: Answers): unknown[] {
  return [...furtherRuns(runs, job), {}];
}

/** The further runs without one, counted from 0 with the first run. */
export function withoutRun(runs: FurtherRuns, job: Answers, run: number): unknown[] | null {
  const left = furtherRuns(runs, job).filter((_, index) => index !== run - 1);
  return left.length === 0 ? null : left;
}
