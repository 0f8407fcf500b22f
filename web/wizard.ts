/** The wizard as a pure state machine: questions and answers in, the page to show out. */
import type * as Contract from "./generated/contract";
import { read, write } from "./paths";
import { questionsOfJob } from "./runs";

export { read };

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

/** One screen of the wizard: a question, or several together. */
type Step = { id: string; paths: string[] };

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

function same(left: unknown, right: unknown): boolean {
  if (left === null) return false;
  if (Array.isArray(left) && Array.isArray(right))
    return left.length === right.length && left.every((item, index) => same(item, right[index]));
  return left === right;
}

/** Whether a question is shown. Equality only, so that no limit can hide in a condition. */
export function holds(when: Condition | null | undefined, job: Answers): boolean {
  if (!when) return true;
  if ("all" in when) return when.all.every((part) => holds(part, job));
  if ("any" in when) return when.any.some((part) => holds(part, job));
  if ("not" in when) return !holds(when.not, job);
  const value = read(job, when.path);
  if ("known" in when) return (value !== null) === when.known;
  if ("one_of" in when) return when.one_of.some((item) => same(item, value));
  return same(when.is, value);
}

export function purposeOf(questions: Questions, job: Answers): Purpose | null {
  return questions.purposes.find((item) => item.id === job["purpose"]) ?? null;
}

/** The groups of the job's purpose, in the order of the purpose. */
export function groupsOf(questions: Questions, job: Answers): Group[] {
  const purpose = purposeOf(questions, job);
  if (!purpose) return questions.groups;
  return purpose.groups.flatMap((id) => questions.groups.filter((group) => group.id === id));
}

export function togetherOf(questions: Questions, id: string): Together | null {
  return questions.together?.find((item) => item.id === id) ?? null;
}

/** What is asked before the first results, in its order: paths, and ids of questions asked together. */
function leading(questions: Questions, job: Answers): string[] {
  return (
    purposeOf(questions, job)?.first ??
    questions.questions.filter((item) => item.required).map((item) => item.path)
  );
}

/** The questions that belong to this job now, those that give the first results leading. */
export function shownQuestions(questions: Questions, job: Answers): Question[] {
  const groups = groupsOf(questions, job).map((group) => group.id);
  const purpose = String(job["purpose"] ?? "");
  const isMine = (question: Question): boolean =>
    groups.includes(question.group) &&
    (question.purposes.length === 0 || question.purposes.includes(purpose)) &&
    holds(question.when, job);
  const [mine = [], ...further] = questionsOfJob(questions, job).map((asked) => asked.filter(isMine));
  const first = leading(questions, job).flatMap((id) => togetherOf(questions, id)?.paths ?? [id]);
  const leads = first.flatMap((path) => mine.filter((question) => question.path === path));
  const walk = (asked: Question[]): Question[] =>
    groups.flatMap((group) =>
      asked.filter((question) => question.group === group && !first.includes(question.path)),
    );
  // A person stands at one run after the other.
  return [...leads, ...walk(mine), ...further.flatMap(walk)];
}

/** The screens of the wizard, those before the first results leading, and how many lead. */
function steps(questions: Questions, job: Answers): { list: Step[]; leads: number } {
  const paths = shownQuestions(questions, job).map((question) => question.path);
  const leads = leading(questions, job)
    .map((id) => ({
      id,
      paths: (togetherOf(questions, id)?.paths ?? [id]).filter((path) => paths.includes(path)),
    }))
    .filter((step) => step.paths.length !== 0);
  const led = leads.flatMap((step) => step.paths);
  const walk: Step[] = [];
  for (const path of paths.filter((each) => !led.includes(each))) {
    const id = onTheWalk(questions).find((item) => item.paths.includes(path))?.id ?? path;
    const begun = walk.find((step) => step.id === id);
    if (begun) begun.paths.push(path);
    else walk.push({ id, paths: [path] });
  }
  return { list: [...leads, ...walk], leads: leads.length };
}

/** Those asked together that lead no purpose: they are met on the walk. */
function onTheWalk(questions: Questions): Together[] {
  const leadIds = questions.purposes.flatMap((purpose) => purpose.first ?? []);
  return (questions.together ?? []).filter((item) => !leadIds.includes(item.id));
}

function placeOf(list: Step[], id: string): number {
  return list.findIndex((step) => step.id === id || step.paths.includes(id));
}

/** The choices that go with what is already known. */
export function shownChoices(question: Question, job: Answers): Choice[] {
  return question.choices.filter((choice) => holds(choice.when, job));
}

export type Page = { kind: "question"; path: string } | { kind: "results" } | { kind: "checklist" };

/** The page after a screen: the next one, the results after the last leading one, the checklist at the end. */
export function pageAfter(questions: Questions, job: Answers, id: string): Page {
  const { list, leads } = steps(questions, job);
  const place = placeOf(list, id);
  const isOpen = (path: string): boolean => read(job, path) === null;
  // A question that is asked alone, though others go with it, is followed by what is still open.
  const beside = list[place]?.id === id ? [] : (list[place]?.paths ?? []);
  const open = beside.slice(beside.indexOf(id) + 1).find(isOpen);
  if (open) return { kind: "question", path: open };
  if (place !== -1 && place === leads - 1) return { kind: "results" };
  const after = list.slice(place + 1);
  const next = beside.length === 0 ? after[0] : after.find((step) => step.paths.some(isOpen));
  return next ? { kind: "question", path: next.id } : { kind: "checklist" };
}

/** Which of the leading screens this is, and how many there are; null for the others. */
export function leadPlace(questions: Questions, job: Answers, id: string): { n: number; m: number } | null {
  const { list, leads } = steps(questions, job);
  const place = placeOf(list, id);
  return place === -1 || place >= leads ? null : { n: place + 1, m: leads };
}

/** The screen before this one, or null at the start. */
export function pageBefore(questions: Questions, job: Answers, id: string): string | null {
  const { list } = steps(questions, job);
  return list[placeOf(list, id) - 1]?.id ?? null;
}

/** The first screen without an answer, leading ones before all others; of a begun one the question that is open. */
export function firstOpen(questions: Questions, job: Answers): string | null {
  for (const step of steps(questions, job).list) {
    const open = step.paths.filter((path) => read(job, path) === null);
    if (open.length === step.paths.length) return step.id;
    if (open[0]) return open[0];
  }
  return null;
}

/** Whether a required answer is still missing, so that nothing can be worked out yet. */
export function requiredOpen(questions: Questions, job: Answers): Question[] {
  return shownQuestions(questions, job).filter(
    (question) => question.required && read(job, question.path) === null,
  );
}

/** A typed number as a number: spaces are dropped, thousands commas too, a lone comma is a decimal mark. */
export function parseNumber(text: string): number | null {
  const packed = text.replace(/[\s\u00a0\u202f]/g, "");
  const plain = /^[1-9]\d{0,2}(,\d{3})+(\.\d+)?$/.test(packed)
    ? packed.replaceAll(",", "")
    : packed.replace(",", ".");
  return /^[+-]?(\d+\.?\d*|\.\d+)$/.test(plain) ? Number(plain) : null;
}

/** The words of one choice in the reader's language. */
export function choiceLabel(question: Question, choice: Choice, language: string): string {
  return question.translations?.[language]?.choices?.[String(choice.value)] ?? choice.label;
}

/** One text of a question, group or purpose in the reader's language, else as written. */
export function inLanguage<Item extends { translations?: Translations<object> | null }>(
  item: Item,
  key: keyof Item & string,
  language: string,
): string {
  const translated = item.translations?.[language] as { [key: string]: unknown } | undefined;
  const text = translated?.[key] ?? item[key];
  return typeof text === "string" ? text : "";
}

/** An answer in words, as it was chosen or typed; null while there is none. */
export function answerWords(
  question: Question,
  value: unknown,
  language: string,
  words: { yes: string; no: string; none: string },
): string | null {
  if (value === null || value === undefined) return null;
  const one = (item: unknown): string => {
    const choice = question.choices.find((candidate) => candidate.value === item);
    if (choice) {
      const label = choiceLabel(question, choice, language);
      return typeof item === "number" && question.unit ? `${label} ${question.unit}` : label;
    }
    if (item === true) return words.yes;
    if (item === false) return words.no;
    return question.unit ? `${String(item)} ${question.unit}` : String(item);
  };
  if (Array.isArray(value)) return value.length === 0 ? words.none : value.map(one).join(", ");
  return one(value);
}

/** The one line that names a job in a list, from the paths the questions file chooses. */
export function jobLine(
  questions: Questions,
  job: Answers,
  language: string,
  words: { yes: string; no: string; none: string },
): string {
  const paths =
    questions.summary ?? questions.questions.filter((item) => item.required).map((item) => item.path);
  return paths
    .map((path) => {
      const question = questions.questions.find((item) => item.path === path);
      const value = read(job, path);
      const said = question ? answerWords(question, value, language, words) : null;
      // A bare figure says nothing without its name.
      return said && typeof value === "number" && !question?.unit
        ? `${inLanguage(question as Question, "label", language)} ${said}`
        : said;
    })
    .filter((part) => part !== null)
    .join(" · ");
}

/** A copy for the next one of the same kind: only the leading facts and the first group are carried over. */
export function sameKind(questions: Questions, job: Answers): Answers {
  const kept = new Set(["format", "place", "person", "purpose", "edition"]);
  let copy: Answers = Object.fromEntries(Object.entries(job).filter(([name]) => kept.has(name)));
  const group = questions.groups[0]?.id;
  for (const question of questions.questions)
    if (question.required || question.group === group) {
      const value = read(job, question.path);
      if (value !== null) copy = write(copy, question.path, value);
    }
  return copy;
}
