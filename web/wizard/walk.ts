/** The wizard as a pure state machine: questions and answers in, the page to show out. */
import { holds } from "./conditions";
import { read } from "./paths";
import type { Answers, Group, Purpose, Question, Questions, Together } from "./questions";
import { questionsOfJob } from "./runs";

/** One screen of the wizard: a question, or several together. */
type Step = { id: string; paths: string[] };

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
  return questions.together.find((item) => item.id === id) ?? null;
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
  return questions.together.filter((item) => !leadIds.includes(item.id));
}

function placeOf(list: Step[], id: string): number {
  return list.findIndex((step) => step.id === id || step.paths.includes(id));
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
