import { useEffect } from "preact/hooks";
import { t } from "../../words/words";

export type FormError = { field: string; text: string };

/** What cannot be a reading, said above the heading in the same words as at the field; takes the focus when it appears. */
export function ErrorSummary({ errors }: { errors: FormError[] }) {
  const key = errors.map((error) => error.text).join("|");
  useEffect(() => {
    if (key) document.getElementById("error-summary")?.focus();
  }, [key]);
  if (errors.length === 0) return null;
  return (
    <div id="error-summary" class="error-summary" tabIndex={-1} aria-labelledby="error-summary-title">
      <div role="alert">
        <h2 id="error-summary-title">{t("error_title")}</h2>
        <ul>
          {errors.map((error) => (
            <li key={error.field}>
              <a
                href={`#${error.field}`}
                onClick={(event) => {
                  event.preventDefault();
                  document.getElementById(error.field)?.focus();
                }}
              >
                {error.text}
              </a>
            </li>
          ))}
        </ul>
      </div>
    </div>
  );
}
