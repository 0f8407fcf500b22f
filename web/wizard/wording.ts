/** Questions, answers and jobs in the reader's words. */
import { read } from "./paths";
import type { Answers, Choice, Question, Questions } from "./questions";

/** The words of one choice in the reader's language. */
export function choiceLabel(question: Question, choice: Choice, language: string): string {
  return question.translations?.[language]?.choices?.[String(choice.value)] ?? choice.label;
}

/** One text of a question, group or purpose in the reader's language, else as written. */
export function inLanguage<Key extends string>(
  item: { [key in Key]: string } & { translations?: { [language: string]: { [key in Key]?: string } } },
  key: Key,
  language: string,
): string {
  return item.translations?.[language]?.[key] ?? item[key];
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

/** The one line that names a job in a list, from what nothing can be worked out without. */
export function jobLine(
  questions: Questions,
  job: Answers,
  language: string,
  words: { yes: string; no: string; none: string },
): string {
  return questions.questions
    .filter((question) => question.required)
    .map((question) => {
      const value = read(job, question.path);
      const said = answerWords(question, value, language, words);
      // A bare figure says nothing without its name.
      return said && typeof value === "number" && !question.unit
        ? `${inLanguage(question, "label", language)} ${said}`
        : said;
    })
    .filter((part) => part !== null)
    .join(" · ");
}
