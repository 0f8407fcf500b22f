/** Questions, answers and jobs in the reader's words. */
import { read } from "./paths";
import type { Answers, Choice, Question, Questions, Translations } from "./questions";

/** The words of one choice in the reader's language. */
export function choiceLabel(question: Question, choice: Choice, language: string): string {
  return question.translations?.[language]?.choices?.[String(choice.value)] ?? choice.label;
}

/** One text of a question, group or purpose in the reader's language, else as written. */
export function inLanguage<Item extends { translations?: Translations<object> | null }>(
  item: Item,
  key: keyof Item & string,
  language: string,
): string {
  const translated = item.translations?.[language] as { [key: string]: unknown } | undefined;
  const text = translated?.[key] ?? item[key];
  return typeof text === "string" ? text : "";
}

/** An answer in words, as it was chosen or typed; null while there is none. */
export function answerWords(
  question: Question,
  value: unknown,
  language: string,
  words: { yes: string; no: string; none: string },
): string | null {
  if (value === null || value === undefined) return null;
  const one = (item: unknown): string => {
    const choice = question.choices.find((candidate) => candidate.value === item);
    if (choice) {
      const label = choiceLabel(question, choice, language);
      return typeof item === "number" && question.unit ? `${label} ${question.unit}` : label;
    }
    if (item === true) return words.yes;
    if (item === false) return words.no;
    return question.unit ? `${String(item)} ${question.unit}` : String(item);
  };
  if (Array.isArray(value)) return value.length === 0 ? words.none : value.map(one).join(", ");
  return one(value);
}

/** The one line that names a job in a list, from the paths the questions file chooses. */
export function jobLine(
  questions: Questions,
  job: Answers,
  language: string,
  words: { yes: string; no: string; none: string },
): string {
  const paths =
    questions.summary ?? questions.questions.filter((item) => item.required).map((item) => item.path);
  return paths
    .map((path) => {
      const question = questions.questions.find((item) => item.path === path);
      const value = read(job, path);
      const said = question ? answerWords(question, value, language, words) : null;
      // A bare figure says nothing without its name.
      return said && typeof value === "number" && !question?.unit
        ? `${inLanguage(question as Question, "label", language)} ${said}`
        : said;
    })
    .filter((part) => part !== null)
    .join(" · ");
}
