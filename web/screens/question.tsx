import { useState } from "preact/hooks";
import type { JobRecord } from "../jobs/record";
import { askPersistence, setSetting } from "../jobs/settings";
import { ErrorSummary } from "../parts/error_summary/error_summary";
import { Page } from "../parts/page/page";
import { fieldId, QuestionForm } from "../parts/question_form/question_form";
import { TogetherForm, togetherId } from "../parts/together_form/together_form";
import { jobName } from "../session/jobs";
import { say } from "../session/notices";
import { findQuestion, questions } from "../session/questions";
import { go } from "../session/route";
import { leadPlace, pageAfter, pageBefore, togetherOf } from "../wizard/walk";
import { inLanguage } from "../wizard/wording";
import { language, t } from "../words/words";

/** One question, or several that are answered together, on one screen. `from` names the page to return to when one answer was to be changed. */
export function QuestionScreen({
  record,
  path,
  from,
}: {
  record: JobRecord;
  path: string;
  from: string | null;
}) {
  const [error, setError] = useState<string | null>(null);
  const question = findQuestion(path);
  const several = question ? null : togetherOf(questions(), path);
  const item = question ?? several;
  const home = `#/job/${record.id}`;
  if (!item)
    return (
      <Page title={t("no_such_page")} back={{ href: `${home}/answers`, label: t("nav_answers") }}>
        <p>{t("no_such_question")}</p>
      </Page>
    );
  const before = pageBefore(questions(), record.job, path);
  const back = from ? `${home}/${from}` : before ? `${home}/ask/${before}` : "#/";
  const group = questions().groups.find((one) => one.id === item.group);
  const words = question
    ? inLanguage(question, "ask", language())
    : several
      ? inLanguage(several, "ask", language())
      : "";
  const field = question ? fieldId(question) : several ? togetherId(several) : "";
  const name = jobName(record.job);
  const place = from ? null : leadPlace(questions(), record.job, path);
  const answered = (after: JobRecord): void => {
    void askPersistence(true);
    if (path === "person" || path === "edition") void setSetting(path, after.job[path] ?? null);
    if (from) {
      say(t("saved"));
      go(from === "answers" ? `${home}/answers/${path}` : `${home}/${from}`);
      return;
    }
    const next = pageAfter(questions(), after.job, path);
    if (next.kind === "question") go(`${home}/ask/${next.path}`);
    else go(`${home}/${next.kind === "results" ? "limits" : "checklist"}`);
  };
  return (
    <Page
      title={words}
      heading={false}
      windowTitle={`${error ? `${t("error_word")} ` : ""}${words}${name ? ` – ${name}` : ""}`}
      back={{ href: back, label: t("back") }}
    >
      <ErrorSummary errors={error ? [{ field, text: error }] : []} />
      {group && (
        <p class="kicker">
          {inLanguage(group, "title", language())}
          {place && <span> · {t("lead_of", place)}</span>}
          {!place && group.text && <span> · {inLanguage(group, "text", language())}</span>}
        </p>
      )}
      {question && (
        <QuestionForm
          key={path}
          record={record}
          question={question}
          error={error}
          onError={setError}
          onAnswered={answered}
        />
      )}
      {several && (
        <TogetherForm key={path} record={record} several={several} onError={setError} onAnswered={answered} />
      )}
      <nav class="jumps" aria-label={t("other_ways")}>
        <a href={`${home}/answers`}>{t("all_questions")}</a>
        <a href={`${home}/limits`}>{t("to_limits")}</a>
        <a href={`${home}/checklist`}>{t("to_checklist")}</a>
      </nav>
    </Page>
  );
}
