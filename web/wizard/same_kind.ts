/** The next job of the same kind. */
import { read, write } from "./paths";
import type { Answers, Questions } from "./questions";

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
