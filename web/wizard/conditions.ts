/** When a question is asked and a choice offered. */
import { read } from "./paths";
import type { Answers, Choice, Condition, Question } from "./questions";

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

/** The choices that go with what is already known. */
export function shownChoices(question: Question, job: Answers): Choice[] {
  return question.choices.filter((choice) => holds(choice.when, job));
}
