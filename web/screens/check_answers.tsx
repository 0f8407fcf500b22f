import type { JobRecord } from "../jobs/record";
import { JobNav } from "../parts/job_nav/job_nav";
import { JobTitle } from "../parts/job_title/job_title";
import { Page } from "../parts/page/page";
import { answerOf } from "../parts/question_form/question_form";
import { Runs } from "../parts/runs/runs";
import { jobName } from "../session/jobs";
import { questions } from "../session/questions";
import { read } from "../wizard/paths";
import type { Question } from "../wizard/questions";
import { runAt, runCount, runName } from "../wizard/runs";
import { firstOpen, groupsOf, shownQuestions } from "../wizard/walk";
import { inLanguage } from "../wizard/wording";
import { language, t } from "../words/words";
import { JobActions } from "./jobs";

/** Every question of the job with its answer and a way to change it; also the list to jump about in. */
export function CheckAnswers({ record, changed }: { record: JobRecord; changed: string | null }) {
  const list = shownQuestions(questions(), record.job);
  const home = `#/job/${record.id}`;
  const name = jobName(record.job) || t("unnamed_job");
  const known = (some: Question[]): number =>
    some.filter((question) => read(record.job, question.path) !== null).length;
  const open = firstOpen(questions(), record.job);
  const further = questions().further_runs;
  const runOf = (question: Question): number => (further ? runAt(further, question.path) : 0);
  const firstRun = list.filter((question) => runOf(question) === 0);
  const sections = [
    ...groupsOf(questions(), record.job).map((group) => ({
      id: group.id,
      title: inLanguage(group, "title", language()),
      rows: firstRun.filter((question) => question.group === group.id),
    })),
    ...Array.from({ length: runCount(questions(), record.job) - 1 }, (_, index) => ({
      id: `run-${index + 2}`,
      title: further ? runName(further, index + 1, language()) : "",
      rows: list.filter((question) => runOf(question) === index + 1),
    })),
  ].filter(({ rows }) => rows.length !== 0);
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
      {sections.map(({ id, title, rows }) => (
        <details key={id} class="group" open={rows.some((row) => row.path === (changed ?? open))}>
          <summary>
            <h2>{title}</h2>
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
      ))}
      <Runs record={record} />
      <section>
        <h2>{t("this_job")}</h2>
        <JobActions record={record} />
      </section>
    </Page>
  );
}
