import { useState } from "preact/hooks";
import { findQuestion, lineOf } from "../../session";
import * as store from "../../store";
import { language, t } from "../../words/words";
import { holds, inLanguage, read, write, type Question, type Together } from "../../wizard";
import { QuestionForm } from "../question_form/question_form";

const LONG_LABEL = /.{25}/;

export type TogetherFormProps = {
  record: store.JobRecord;
  several: Together;
  onError: (text: string | null) => void;
  onAnswered: (record: store.JobRecord) => void;
};

/** Where an error of the whole screen leads to. */
export function togetherId(several: Together): string {
  return `field-${several.id.replaceAll("_", "-")}`;
}

/**
 * Several questions on one screen: the usual combinations as buttons, each saying all that it answers, and behind
 * "another" the questions themselves. Nothing is filled in that is not on the button.
 */
export function TogetherForm({ record, several, onError, onAnswered }: TogetherFormProps) {
  const purpose = String(record.job["purpose"] ?? "");
  const mine = several.paths
    .map((path) => findQuestion(path))
    .filter(
      (question): question is Question =>
        question !== null &&
        (question.purposes.length === 0 || question.purposes.includes(purpose)) &&
        holds(question.when, record.job),
    );
  const isChosen = (values: { [path: string]: unknown }): boolean =>
    several.paths.every((path) => read(record.job, path) === (values[path] ?? null));
  const known = mine.some((question) => read(record.job, question.path) !== null);
  const [open, setOpen] = useState(known && !several.choices.some((choice) => isChosen(choice.values)));
  const words = several.translations?.[language()];
  const spoken = words ? language() : "en";
  const required = mine.some((question) => question.required);

  const save = async (values: { [path: string]: unknown }): Promise<void> => {
    onError(null);
    const after = await store.change(record, (before) => {
      let job = before.job;
      for (const path of several.paths) job = write(job, path, values[path] ?? null);
      return { ...before, job, line: lineOf(job), revision: before.revision + 1, changed: Date.now() };
    });
    onAnswered(after);
  };
  const showMembers = (): void => {
    setOpen(true);
    requestAnimationFrame(() => {
      const first = document.querySelector<HTMLElement>(".members button, .members input");
      first?.closest("form")?.scrollIntoView({ block: "start" });
      first?.focus({ preventScroll: true });
    });
  };
  const goOn = (): void => {
    if (mine.some((question) => question.required && read(record.job, question.path) === null)) {
      onError(t("answer_needed"));
      document.getElementById("error-summary")?.focus();
    } else onAnswered(record);
  };

  const ask = inLanguage(several, "ask", language());
  const help = inLanguage(several, "help", language());
  return (
    <div class="question together">
      <h1 tabIndex={-1} lang={spoken}>
        {ask}
      </h1>
      {help && (
        <p class="help" lang={spoken}>
          {help}
        </p>
      )}
      <div
        class={several.choices.some((choice) => LONG_LABEL.test(choice.label)) ? "choices long" : "choices"}
        role="group"
        aria-label={ask}
      >
        {several.choices.map((choice, index) => (
          <button
            type="button"
            key={choice.value}
            id={index === 0 ? togetherId(several) : undefined}
            class="choice"
            lang={spoken}
            aria-pressed={isChosen(choice.values)}
            onClick={() => void save(choice.values)}
          >
            {words?.choices?.[choice.value] ?? choice.label}
          </button>
        ))}
      </div>
      <div class="ways">
        {!open && (
          <button type="button" class="choice other" onClick={showMembers}>
            {t("another")}
          </button>
        )}
        {!required && (
          <button type="button" class="choice unknown" onClick={() => void save({})}>
            {t("dont_know")}
          </button>
        )}
      </div>
      {open && (
        <>
          <div class="members">
            {mine.map((question) => (
              <Member key={question.path} record={record} question={question} />
            ))}
          </div>
          <div class="go-on">
            <button type="button" class="main" onClick={goOn}>
              {t("continue")}
            </button>
          </div>
        </>
      )}
    </div>
  );
}

function Member({ record, question }: { record: store.JobRecord; question: Question }) {
  const [error, setError] = useState<string | null>(null);
  return (
    <QuestionForm
      record={record}
      question={question}
      inline
      error={error}
      onError={setError}
      onAnswered={() => undefined}
    />
  );
}
