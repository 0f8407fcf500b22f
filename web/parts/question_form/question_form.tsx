import { useEffect, useState } from "preact/hooks";
import { keepDraft, saveAnswer } from "../../jobs/jobs";
import type { JobRecord } from "../../jobs/record";
import { getSetting, setSetting } from "../../jobs/settings";
import { ask, engineState } from "../../session/engine";
import { problemWords } from "../../session/questions";
import { shownChoices } from "../../wizard/conditions";
import { parseNumber } from "../../wizard/numbers";
import { read } from "../../wizard/paths";
import type { Answers, Choice, Question } from "../../wizard/questions";
import { answerWords, choiceLabel, inLanguage } from "../../wizard/wording";
import { answerWordSet, day, language, t } from "../../words/words";

export type QuestionFormProps = {
  record: JobRecord;
  question: Question;
  /** Inside a checklist line: smaller heading, the Save button instead of Continue. */
  inline?: boolean;
  /** Where several stand on one screen: takes what saves this one's entry, for the button under them all. */
  settler?: { current: (() => Promise<void>) | null };
  /** Its label alone: what the screen says of all of them is enough. */
  bare?: boolean;
  error: string | null;
  onError: (text: string | null) => void;
  onAnswered: (record: JobRecord) => void;
};

const CHECK_MS = 30_000;

export function fieldId(question: Question): string {
  return `field-${question.path.replaceAll(".", "-")}`;
}

function isTyped(question: Question): boolean {
  return ["number", "text", "text_long", "date", "number_list"].includes(question.kind);
}

/** The entry a stored value would have been typed as; empty where the value is one of the buttons. */
function typedAs(question: Question, value: unknown): string {
  if (value === null || value === undefined || Array.isArray(value)) return "";
  if (question.choices.some((choice) => choice.value === value)) return "";
  return String(value);
}

/**
 * One question: its words, its choices as large buttons, an entry where one is allowed, and "don't know yet".
 * A tap is an answer and is saved before anything else; typing is kept as a draft and becomes the answer on Continue.
 */
export function QuestionForm({
  record,
  question,
  inline = false,
  settler,
  bare = false,
  error,
  onError,
  onAnswered,
}: QuestionFormProps) {
  const id = fieldId(question);
  const value = read(record.job, question.path);
  const choices = question.kind === "yes_no" ? yesNo() : shownChoices(question, record.job);
  const draft = record.drafts[question.path];
  const mayType = isTyped(question)
    ? question.other !== false || choices.length === 0
    : Boolean(question.other);
  // What can't be typed has no entry to open.
  const typed = mayType ? typedAs(question, value) : "";
  const [text, setText] = useState(draft ?? typed);
  const [open, setOpen] = useState(choices.length === 0 || Boolean(draft ?? typed));
  const [busy, setBusy] = useState(false);
  const [list, setList] = useState<Choice["value"][]>(Array.isArray(value) ? value : []);
  const [touched, setTouched] = useState(Array.isArray(value));
  const remembers = question.kind === "choice" && !question.picker;
  const [last, setLast] = useState<unknown>(null);
  useEffect(() => {
    if (remembers) void getSetting<unknown>(`last:${question.path}`, null).then(setLast);
  }, [question.path]);
  useEffect(() => {
    if (Array.isArray(value)) {
      setList(value);
      setTouched(true);
    }
  }, [JSON.stringify(value)]);

  const askWords = inLanguage(question, "ask", language());
  const helpWords = bare ? "" : inLanguage(question, "help", language());
  const spoken = question.translations?.[language()] ? language() : "en";
  const Heading = inline ? "h4" : "h1";

  const save = async (answer: unknown): Promise<void> => {
    onError(null);
    if (remembers) void setSetting(`last:${question.path}`, answer);
    onAnswered(await saveAnswer(record, question.path, answer));
  };

  const type = (next: string): void => {
    setText(next);
    void keepDraft(record, question.path, next);
  };

  const refuse = (words: string): void => {
    setOpen(true);
    onError(words);
    // The same words again would not draw anew, so the summary is shown from here.
    document.getElementById("error-summary")?.focus();
  };

  /** Only says what cannot be a reading; a reading that breaks the code is a good answer. */
  const settle = async (): Promise<void> => {
    if (question.kind === "many") {
      await save(touched ? list : null);
      return;
    }
    const entry = text.trim();
    if (question.kind === "number_list") {
      const whole = entry === "" ? list : addEntry(entry);
      if (whole) await save(touched || whole.length !== 0 ? whole : null);
      return;
    }
    if (!open || (entry === "" && choices.length !== 0)) {
      // Several on one screen are missed together, by the screen.
      if (value === null && question.required && !settler) refuse(t("answer_needed"));
      else onAnswered(record);
      return;
    }
    if (entry === "") {
      if (question.required && !settler) refuse(t("answer_needed"));
      else await save(null);
      return;
    }
    const answer = question.kind === "number" ? parseNumber(entry) : entry;
    if (answer === null) {
      refuse(t("not_a_number"));
      return;
    }
    if (engineState() === "ready") {
      setBusy(true);
      // An engine that hangs holds nobody up: the whole job is judged later in any case.
      const reply = await Promise.race([
        ask({ op: "check_answer", path: question.path, value: answer }),
        new Promise<{ op: "later" }>((resolve) => setTimeout(resolve, CHECK_MS, { op: "later" })),
      ]);
      setBusy(false);
      if (reply.op === "refused") {
        refuse(reply.problems.map((problem) => problemWords(problem)).join(" "));
        return;
      }
    }
    await save(answer);
  };

  if (settler) settler.current = open ? settle : null;

  const addEntry = (entry: string): Choice["value"][] | null => {
    const numbers = entry.split(/[\s;+]+/).map((part) => parseNumber(part));
    const known = numbers.filter((part) => part !== null);
    if (known.length !== numbers.length) {
      refuse(t("not_a_number"));
      return null;
    }
    return [...list, ...known];
  };

  const described = [
    helpWords ? `${id}-help` : "",
    error ? `${id}-error` : "",
    question.metric ? `${id}-metric` : "",
  ]
    .filter(Boolean)
    .join(" ");
  const heading = inline ? null : (
    <Heading tabIndex={-1} lang={spoken}>
      {choices.length === 0 ? <label for={id}>{askWords}</label> : askWords}
    </Heading>
  );
  const help = helpWords ? (
    <p class="help" id={`${id}-help`} lang={spoken}>
      {helpWords}
    </p>
  ) : null;
  const problem = error ? (
    <p class="field-error" id={`${id}-error`}>
      <span class="hidden">{t("error_word")} </span>
      {error}
    </p>
  ) : null;
  const entryLabel =
    choices.length === 0 ? askWords : t(question.kind === "number" ? "other_number" : "other_entry");
  const entry =
    !mayType || !open || question.kind === "many" ? null : (
      <div class="entry">
        {(choices.length !== 0 || inline) && (
          <label for={id} class={inline && choices.length === 0 ? "hidden" : ""}>
            {entryLabel}
          </label>
        )}
        <div class="entry-line">
          {question.kind === "text_long" ? (
            <textarea
              id={id}
              rows={4}
              value={text}
              aria-describedby={described || undefined}
              aria-invalid={error ? "true" : undefined}
              onInput={(event) => type(event.currentTarget.value)}
            />
          ) : (
            <input
              id={id}
              {...(question.kind === "date" ? { type: "date" as const } : { type: "text" as const })}
              inputMode={question.kind === "number" || question.kind === "number_list" ? "decimal" : "text"}
              autocomplete="off"
              enterkeyhint="done"
              value={text}
              aria-describedby={described || undefined}
              aria-invalid={error ? "true" : undefined}
              onInput={(event) => type(event.currentTarget.value)}
            />
          )}
          {question.unit && <span class="unit">{question.unit}</span>}
          {question.kind === "number_list" && (
            <button
              type="button"
              class="quiet"
              onClick={() => {
                const whole = text.trim() === "" ? null : addEntry(text.trim());
                if (!whole) return;
                setTouched(true);
                setList(whole);
                setText("");
                void saveAnswer(record, question.path, whole);
              }}
            >
              {t("add")}
            </button>
          )}
        </div>
        {question.metric && (
          <p class="metric" id={`${id}-metric`}>
            {inMetric(question.metric, text) ?? "\u00a0"}
          </p>
        )}
      </div>
    );

  return (
    <form
      noValidate
      class={`question${inline ? " inline" : ""}${bare ? " bare" : ""}`}
      onSubmit={(event) => {
        event.preventDefault();
        void settle();
      }}
    >
      {inline ? (
        <p class="ask" lang={spoken}>
          {bare ? inLanguage(question, "label", language()) : askWords}
        </p>
      ) : (
        heading
      )}
      {help}
      {problem}
      {question.kind === "many" ? (
        <fieldset class="many" aria-describedby={described || undefined}>
          <legend class="hidden" lang={spoken}>
            {askWords}
          </legend>
          {choices.map((choice, index) => (
            <label class="tick" key={String(choice.value)}>
              <input
                type="checkbox"
                id={index === 0 ? id : undefined}
                checked={list.includes(choice.value)}
                onChange={(event) => {
                  const on = event.currentTarget.checked;
                  const order = choices.map((item) => item.value);
                  const next = order.filter((item) => (item === choice.value ? on : list.includes(item)));
                  setTouched(true);
                  setList(next);
                  void saveAnswer(record, question.path, next);
                }}
              />
              <span lang={spoken}>{choiceLabel(question, choice, language())}</span>
            </label>
          ))}
          <label class="tick">
            <input
              type="checkbox"
              checked={touched && list.length === 0}
              onChange={(event) => {
                const none = event.currentTarget.checked;
                setTouched(none);
                setList([]);
                void saveAnswer(record, question.path, none ? [] : null);
              }}
            />
            <span>{t("none_of_these")}</span>
          </label>
        </fieldset>
      ) : (
        choices.length !== 0 && (
          <div class={`choices ${layoutOf(question, choices)}`} role="group" aria-label={askWords}>
            {choices.map((choice, index) => (
              <button
                type="button"
                key={String(choice.value)}
                id={index === 0 && !open ? id : undefined}
                class="choice"
                lang={spoken}
                aria-pressed={value === choice.value}
                onClick={() => void save(choice.value)}
              >
                {choiceLabel(question, choice, language())}
                {last === choice.value && value === null && <span class="last">{t("last_time")}</span>}
                {typeof choice.value === "number" && question.unit ? (
                  <span class="unit"> {question.unit}</span>
                ) : null}
              </button>
            ))}
          </div>
        )
      )}
      {question.kind === "number_list" && (
        <ul class="chips">
          {list.map((item, index) => (
            <li key={index}>
              {String(item)} {question.unit}
              <button
                type="button"
                class="quiet"
                aria-label={t("remove_item", { item: String(item) })}
                onClick={() => {
                  const next = list.filter((_, place) => place !== index);
                  setList(next);
                  void saveAnswer(record, question.path, next);
                }}
              >
                ×
              </button>
            </li>
          ))}
        </ul>
      )}
      {entry}
      <div class="ways">
        {mayType && !open && (
          <button
            type="button"
            class="choice other"
            onClick={() => {
              setOpen(true);
              requestAnimationFrame(() => document.getElementById(id)?.focus());
            }}
          >
            {t("other")}
          </button>
        )}
        {/* What is being typed is not to be lost to a slip of the thumb. */}
        {!question.required && !(settler && choices.length === 0) && !(value === null && text.trim()) && (
          <button
            type="button"
            class="choice unknown"
            onClick={() => {
              setText("");
              setList([]);
              setTouched(false);
              void save(null);
            }}
          >
            {t("dont_know")}
          </button>
        )}
      </div>
      {(settler
        ? question.kind === "many"
        : open || question.kind === "many" || (!inline && value !== null)) && (
        <div class="go-on">
          <button type="submit" class="main" disabled={busy}>
            {inline ? t("save") : t("continue")}
          </button>
          {!inline && value !== null && (
            <p class="now">{t("now_answered", { answer: answerOf(question, record.job) ?? "" })}</p>
          )}
        </div>
      )}
    </form>
  );
}

const LONG_LABEL = /.{17}/;

/** Small sizes in a grid, short words in two columns, sentences one below the other. */
function layoutOf(question: Question, choices: Choice[]): string {
  if (question.picker) return "picker";
  return choices.some((choice) => LONG_LABEL.test(choiceLabel(question, choice, language()))) ? "long" : "";
}

/** A question's answer in the reader's words; null while it is not known. */
export function answerOf(question: Question, job: Answers): string | null {
  const value = read(job, question.path);
  if (question.kind === "date" && value !== null) return day(value);
  const choices = question.kind === "yes_no" ? yesNo() : question.choices;
  return answerWords({ ...question, choices }, value, language(), answerWordSet());
}

function yesNo(): { value: boolean; label: string }[] {
  return [
    { value: true, label: t("yes") },
    { value: false, label: t("no") },
  ];
}

/** A typed figure beside its unit in the other system, for reading only. */
function inMetric(metric: NonNullable<Question["metric"]>, text: string): string | null {
  const typed = parseNumber(text);
  if (typed === null) return null;
  const shown = new Intl.NumberFormat(language(), { maximumSignificantDigits: 3 }).format(
    typed * metric.per_unit + (metric.offset ?? 0),
  );
  return `= ${shown} ${metric.unit}`;
}
