import type { JobRecord } from "../../jobs/record";
import { engineState, type Outcome, tryAgain } from "../../session/engine";
import { findQuestion, problemWords, questions } from "../../session/questions";
import { requiredOpen } from "../../wizard/walk";
import { inLanguage } from "../../wizard/wording";
import { language, t } from "../../words/words";

/** Why there is no fresh result, in words, with the way on. */
export function ResultState({ record, outcome }: { record: JobRecord; outcome: Outcome }) {
  const home = `#/job/${record.id}`;
  const needed = requiredOpen(questions(), record.job);
  if (needed.length !== 0)
    return (
      <section class="note">
        <p>{t("needed_first")}</p>
        <ul>
          {needed.map((question) => (
            <li key={question.path}>
              <a href={`${home}/ask/${question.path}`}>{inLanguage(question, "label", language())}</a>
            </li>
          ))}
        </ul>
      </section>
    );
  if (outcome.problems.length !== 0)
    return (
      <section class="note" role="status">
        <p>{t("answers_refused")}</p>
        <ul>
          {outcome.problems.map((problem) => {
            const question = findQuestion(problem.path);
            return (
              <li key={problem.path}>
                {question && (
                  <a href={`${home}/ask/${problem.path}/limits`}>
                    {inLanguage(question, "label", language())}
                  </a>
                )}{" "}
                <span lang="en">
                  {question ? "" : `${problem.path}: `}
                  {problemWords(problem)}
                </span>
              </li>
            );
          })}
        </ul>
      </section>
    );
  if (outcome.failure !== null)
    return (
      <section class="note" role="status">
        <p>
          {t("evaluation_failed")} {outcome.failure}
        </p>
        <button type="button" onClick={() => tryAgain(record)}>
          {t("try_again")}
        </button>
      </section>
    );
  if (outcome.result && outcome.current) return null;
  if (engineState() === "failed")
    return (
      <p class="note">
        {t(!outcome.result ? "no_result_engine" : outcome.stale ? "saved_result_old" : "saved_result_shown")}
      </p>
    );
  return (
    <p class="note" role="status">
      {t(
        !outcome.result ? "result_being_made" : outcome.stale ? "result_old_renewed" : "result_being_renewed",
      )}
    </p>
  );
}
