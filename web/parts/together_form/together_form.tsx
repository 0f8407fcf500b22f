import { useRef, useState } from "preact/hooks";
import { editJob } from "../../jobs/jobs";
import type { JobRecord } from "../../jobs/record";
import { findQuestion } from "../../session/questions";
import { holds } from "../../wizard/conditions";
import { read } from "../../wizard/paths";
import type { Question, Together } from "../../wizard/questions";
import { inLanguage } from "../../wizard/wording";
import { language, t } from "../../words/words";
import { QuestionForm, type QuestionFormProps } from "../question_form/question_form";

const LONG_LABEL = /.{25}/;

type Settler = NonNullable<QuestionFormProps["settler"]>;

export type TogetherFormProps = {
  record: JobRecord;
  several: Together;
  onError: (text: string | null) => void;
  onAnswered: (record: JobRecord) => void;
};

/** Where an error of the whole screen leads to. */
export function togetherId(several: Together): string {
  return `field-${several.id.replaceAll("_", "-")}`;
}

/**
 * Several questions on one screen: the usual combinations as buttons, each saying all that it answers, and behind
 * "another" the questions themselves. Nothing is filled in that is not on the button. Where nothing is usual the
 * questions stand open.
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
  const entriesOnly = several.choices.length === 0;
  const [open, setOpen] = useState(
    entriesOnly || (known && !several.choices.some((choice) => isChosen(choice.values))),
  );
  const members = useRef(new Map<string, Settler>()).current;
  const latest = useRef(record);
  const refused = useRef(false);
  const words = several.translations?.[language()];
  const spoken = words ? language() : "en";
  const required = mine.some((question) => question.required);

  const save = async (values: { [path: string]: unknown }): Promise<void> => {
    onError(null);
    const answers = Object.fromEntries(several.paths.map((path) => [path, values[path] ?? null]));
    onAnswered(await editJob(record, { answers }));
  };
  const showMembers = (): void => {
    setOpen(true);
    requestAnimationFrame(() => {
      const first = document.querySelector<HTMLElement>(".members button, .members input");
      first?.closest("form")?.scrollIntoView({ block: "start" });
      first?.focus({ preventScroll: true });
    });
  };
  const settlerOf = (path: string): Settler => {
    const settler = members.get(path) ?? { current: null };
    members.set(path, settler);
    return settler;
  };
  /** What was typed in any of them is saved first; one that cannot be a reading keeps the screen. */
  const goOn = async (): Promise<void> => {
    refused.current = false;
    latest.current = record;
    for (const question of mine) await members.get(question.path)?.current?.();
    const after = latest.current;
    if (refused.current)
      requestAnimationFrame(() =>
        document.querySelector<HTMLElement>(".members [aria-invalid=true]")?.focus(),
      );
    else if (mine.some((question) => question.required && read(after.job, question.path) === null)) {
      onError(t("answer_needed"));
      document.getElementById("error-summary")?.focus();
    } else onAnswered(after);
  };

  const ask = inLanguage(several, "ask", language());
  const help = inLanguage(several, "help", language());
  const ways = (
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
  );
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
      {!entriesOnly && (
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
      )}
      {!entriesOnly && ways}
      {open && (
        <div class="members">
          {mine.map((question) => (
            <Member
              key={question.path}
              record={record}
              question={question}
              settler={settlerOf(question.path)}
              bare={entriesOnly}
              onRefused={() => (refused.current = true)}
              onAnswered={(after) => {
                // One that was left as it was answers with the record that it was drawn with.
                if (after.revision > latest.current.revision) latest.current = after;
              }}
            />
          ))}
        </div>
      )}
      {entriesOnly && ways}
      {open && (
        <div class="go-on">
          <button type="button" class="main" onClick={() => void goOn()}>
            {t("continue")}
          </button>
        </div>
      )}
    </div>
  );
}

type MemberProps = Pick<QuestionFormProps, "record" | "question" | "onAnswered"> & {
  settler: Settler;
  bare: boolean;
  onRefused: () => void;
};

function Member({ record, question, settler, bare, onRefused, onAnswered }: MemberProps) {
  const [error, setError] = useState<string | null>(null);
  return (
    <QuestionForm
      record={record}
      question={question}
      inline
      settler={settler}
      bare={bare}
      error={error}
      onError={(text) => {
        setError(text);
        if (text) onRefused();
      }}
      onAnswered={onAnswered}
    />
  );
}
