import type { Result } from "../../session/engine";
import { findQuestion } from "../../session/questions";
import { inLanguage } from "../../wizard/wording";
import { language, t } from "../../words/words";

export type ContradictionsProps = {
  job_id: string;
  /** Missing in a result that an earlier version saved. */
  found: Result["contradictions"] | undefined;
  /** The page that the question leads back to. */
  here: "checklist" | "limits";
};

/** Answers that cannot all be true, each with the way to its question. */
export function Contradictions({ job_id, found = [], here }: ContradictionsProps) {
  return (
    <>
      {found.map((one) => (
        <section class="contradiction" key={one.id}>
          <h2>{t("contradiction")}</h2>
          <p lang="en">{one.why}</p>
          <ul class="doubted">
            {one.facts.map((fact) => (
              <li key={fact.path}>
                <a href={`#/job/${job_id}/ask/${fact.path}/${here}`}>
                  <Label path={fact.path} label={fact.label} />: <strong lang="en">{fact.shown}</strong>
                </a>
              </li>
            ))}
          </ul>
          <p class="help">{t("contradiction_help")}</p>
        </section>
      ))}
    </>
  );
}

function Label({ path, label }: { path: string; label: string }) {
  const question = findQuestion(path);
  return (
    <span lang={question?.translations?.[language()] ? language() : "en"}>
      {question ? inLanguage(question, "label", language()) : label}
    </span>
  );
}
