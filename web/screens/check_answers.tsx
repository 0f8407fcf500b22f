import { JobNav } from "../parts/job_nav/job_nav";
import { JobTitle } from "../parts/job_title/job_title";
import { Page } from "../parts/page/page";
import { answerOf } from "../parts/question_form/question_form";
import { JobActions } from "./jobs";
import { groupsOf, inLanguage, firstOpen, read, shownQuestions, type Question } from "../wizard";
import { jobName, questions } from "../session";
import type { JobRecord } from "../store";
import { language, t } from "../words/words";

/** Every question of the job with its answer and a way to change it; also the list to jump about in. */
export function CheckAnswers({ record, changed }: { record: JobRecord; changed: string | null }) {
  const list = shownQuestions(questions(), record.job);
  const home = `#/job/${record.id}`;
  const name = jobName(record.job) || t("unnamed_job");
  const known = (some: Question[]): number =>
    some.filter((question) => read(record.job, question.path) !== null).length;
  const open = firstOpen(questions(), record.job);
  return (
    <Page
      title={t("nav_answers")}
      windowTitle={`${t("nav_answers")} – ${name}`}
      back={{ href: "#/", label: t("jobs") }}
      focus={changed ? `change-${changed}` : null}
    >
      <JobTitle record={record} here="answers" />
      <JobNav id={record.id} here="answers" />
      <p class="lead">{t("answered_of", { answered: known(list), count: list.length })}</p>
      {open && (
        <a class="button main" href={`${home}/ask/${open}`}>
          {t("next_open")}
        </a>
      )}
      {groupsOf(questions(), record.job).map((group) => {
        const rows = list.filter((question) => question.group === group.id);
        if (rows.length === 0) return null;
        return (
          <details key={group.id} class="group" open={rows.some((row) => row.path === (changed ?? open))}>
            <summary>
              <h2>{inLanguage(group, "title", language())}</h2>
              <span>{t("n_of_m", { n: known(rows), m: rows.length })}</span>
            </summary>
            <dl class="answers">
              {rows.map((question) => {
                const words = inLanguage(question, "label", language());
                const value = answerOf(question, record.job);
                const draft = record.drafts[question.path];
                return (
                  <div key={question.path}>
                    <dt>{words}</dt>
                    <dd class={value === null ? "open" : ""}>
                      {value ?? (draft ? t("typed_not_saved", { text: draft }) : t("not_known_yet"))}
                    </dd>
                    <dd class="change">
                      <a id={`change-${question.path}`} href={`${home}/ask/${question.path}/answers`}>
                        {value === null ? t("answer") : t("change")}
                        <span class="hidden">: {words}</span>
                      </a>
                    </dd>
                  </div>
                );
              })}
            </dl>
          </details>
        );
      })}
      <section>
        <h2>{t("this_job")}</h2>
        <JobActions record={record} />
      </section>
    </Page>
  );
}
