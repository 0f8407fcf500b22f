/** The questions of the version that is open, and what is wrong with an answer in their words. */
import type * as Contract from "../generated/contract";
import { sayLinesWith } from "../jobs/unsaved";
import type { Answers, Choice, Question, Questions } from "../wizard/questions";
import { questionAt } from "../wizard/runs";
import { inLanguage, jobLine } from "../wizard/wording";
import { answerWordSet, language, t } from "../words/words";

export type Problem = Contract.Problem;
let questionsFile: Questions | null = null;

export function setQuestions(next: Questions): void {
  questionsFile = next;
  sayLinesWith(lineOf);
}

export function questions(): Questions {
  if (!questionsFile) throw new Error("questions are used before they are loaded");
  return questionsFile;
}

/** The editions to choose from, as the question about them has them. */
export function editions(): Choice[] {
  return findQuestion("edition")?.choices ?? [];
}

export function findQuestion(path: string): Question | null {
  return questionAt(questions(), path);
}

export function lineOf(job: Answers): string {
  return jobLine(questions(), job, language(), answerWordSet());
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
