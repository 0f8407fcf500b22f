import { useEffect, useState } from "preact/hooks";
import { createJob } from "../jobs/jobs";
import { getSetting, setSetting } from "../jobs/settings";
import { Page } from "../parts/page/page";
import { lineOf, questions } from "../session/questions";
import { go } from "../session/route";
import { type Answers, JOB_FORMAT } from "../wizard/questions";
import { firstOpen } from "../wizard/walk";
import { inLanguage } from "../wizard/wording";
import { language, t } from "../words/words";

/** The ways in, by purpose. */
export function Start() {
  const [place, setPlace] = useState("");
  const [name, setName] = useState("");
  const [remembered, setRemembered] = useState<{ person: string; edition: unknown } | null>(null);
  useEffect(() => {
    void getSetting("typed_name", "").then(setName);
    void getSetting("typed_place", "").then(setPlace);
    void Promise.all([getSetting("person", ""), getSetting<unknown>("edition", null)]).then(
      ([person, edition]) => setRemembered({ person, edition }),
    );
  }, []);
  const start = async (purpose: string): Promise<void> => {
    const job: Answers = { format: JOB_FORMAT, purpose, date: today() };
    if (name.trim()) job["name"] = name.trim();
    if (place.trim()) job["place"] = place.trim();
    if (remembered?.person) job["person"] = remembered.person;
    if (remembered?.edition) job["edition"] = remembered.edition;
    const record = await createJob(job, lineOf(job));
    void setSetting("typed_name", "");
    void setSetting("typed_place", "");
    const first = firstOpen(questions(), job);
    go(first ? `#/job/${record.id}/ask/${first}` : `#/job/${record.id}/limits`);
  };
  const edition = remembered?.edition ?? questions().default_edition;
  return (
    <Page title={t("new_job")} back={{ href: "#/", label: t("jobs") }}>
      <p class="lead">{t("choose_purpose")}</p>
      <ul class="purposes">
        {questions().purposes.map((purpose) => (
          <li key={purpose.id}>
            <button type="button" class="choice" onClick={() => void start(purpose.id)}>
              <strong>{inLanguage(purpose, "title", language())}</strong>
              <span>{inLanguage(purpose, "text", language())}</span>
            </button>
          </li>
        ))}
      </ul>
      {remembered && edition ? (
        <p class="help">{t("new_job_edition", { edition: String(edition) })}</p>
      ) : null}
      <p class="help">{t("caution_dead")}</p>
      <details class="naming">
        <summary>{t("name_it_first")}</summary>
        <label for="job-name">{t("job_name")}</label>
        <input
          id="job-name"
          type="text"
          autocomplete="off"
          value={name}
          onInput={(event) => {
            setName(event.currentTarget.value);
            void setSetting("typed_name", event.currentTarget.value);
          }}
        />
        <label for="job-place">{t("job_place")}</label>
        <input
          id="job-place"
          type="text"
          autocomplete="off"
          value={place}
          onInput={(event) => {
            setPlace(event.currentTarget.value);
            void setSetting("typed_place", event.currentTarget.value);
          }}
        />
      </details>
    </Page>
  );
}

function today(): string {
  const now = new Date();
  const two = (part: number): string => String(part).padStart(2, "0");
  return `${now.getFullYear()}-${two(now.getMonth() + 1)}-${two(now.getDate())}`;
}
