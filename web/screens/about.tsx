import { useEffect, useState } from "preact/hooks";
import { BUILD } from "../generated/version";
import { eraseJob } from "../jobs/bin";
import { onJobChange } from "../jobs/changes";
import { setDeleted } from "../jobs/jobs";
import { listJobs } from "../jobs/list";
import type { JobRecord } from "../jobs/record";
import { askPersistence, getSetting, setSetting, type StorageState, storageState } from "../jobs/settings";
import { saveAll } from "../parts/banners/banners";
import { Page } from "../parts/page/page";
import { engineState, type Paper } from "../session/engine";
import { jobName } from "../session/jobs";
import { editions, questions } from "../session/questions";
import { useSession } from "../session/watching";
import { inLanguage } from "../wizard/wording";
import { language, languages, megabytes, t, type Language, type Word } from "../words/words";

const cautions: Word[] = ["caution_qualified", "caution_dead", "caution_authority", "caution_aid"];

type InstallPrompt = Event & { prompt: () => Promise<void> };

let offered: InstallPrompt | null = null;
addEventListener("beforeinstallprompt", (event) => {
  event.preventDefault();
  offered = event as InstallPrompt;
});

/** Settings, the cautions, and how the app itself is doing. */
export function About({
  back,
  offline,
  onLanguage,
}: {
  back: string;
  offline: string;
  onLanguage: (next: Language) => void;
}) {
  useSession();
  const [edition, setEdition] = useState<unknown>(null);
  const [person, setPerson] = useState("");
  const [paper, setPaper] = useState<Paper>("Letter");
  const [storage, setStorage] = useState<StorageState | null>(null);
  const [inBin, setInBin] = useState<JobRecord[]>([]);
  const [canInstall, setCanInstall] = useState(offered !== null);
  useEffect(() => {
    void getSetting<unknown>("edition", null).then(setEdition);
    void getSetting("person", "").then((name) => setPerson(name ?? ""));
    void getSetting<Paper>("paper", "Letter").then(setPaper);
    void storageState().then(setStorage);
    const load = (): void => void listJobs("", 100, true).then((listing) => setInBin(listing.jobs));
    load();
    return onJobChange(load);
  }, []);
  const years = editions();
  return (
    <Page title={t("settings")} back={{ href: back, label: t(back === "#/" ? "jobs" : "back") }}>
      <section>
        <h2>{t("cautions")}</h2>
        <ul>
          {cautions.map((caution) => (
            <li key={caution}>{t(caution)}</li>
          ))}
        </ul>
      </section>
      {questions().limits.length !== 0 && (
        <section>
          <h2>{t("not_looked_at")}</h2>
          <ul>
            {questions().limits.map((limit) => (
              <li key={limit.text}>{inLanguage(limit, "text", language())}</li>
            ))}
          </ul>
        </section>
      )}
      <section>
        <h2>{t("for_new_jobs")}</h2>
        {years.length !== 0 && (
          <p>
            <label for="edition">{t("edition")}</label>
            <select
              id="edition"
              value={String(edition ?? "")}
              onChange={(event) => {
                const chosen =
                  years.find((year) => String(year.value) === event.currentTarget.value)?.value ?? null;
                setEdition(chosen);
                void setSetting("edition", chosen);
              }}
            >
              {edition === null && (
                <option value="">{t("edition_own", { edition: questions().default_edition })}</option>
              )}
              {years.map((year) => (
                <option key={String(year.value)} value={String(year.value)}>
                  {year.label}
                </option>
              ))}
            </select>
          </p>
        )}
        <p>
          <label for="paper">{t("paper")}</label>
          <select
            id="paper"
            value={paper}
            onChange={(event) => {
              setPaper(event.currentTarget.value as Paper);
              void setSetting("paper", event.currentTarget.value);
            }}
          >
            <option>Letter</option>
            <option>A4</option>
          </select>
        </p>
        <p>
          <label for="person">{t("your_name")}</label>
          <input
            id="person"
            type="text"
            autocomplete="name"
            value={person}
            onInput={(event) => {
              setPerson(event.currentTarget.value);
              void setSetting("person", event.currentTarget.value);
            }}
          />
        </p>
        <p>
          <label for="language">{t("language")}</label>
          <select
            id="language"
            value={language()}
            onChange={(event) => onLanguage(event.currentTarget.value as Language)}
          >
            {languages.map((item) => (
              <option key={item.value} value={item.value} lang={item.value}>
                {item.label}
              </option>
            ))}
          </select>
        </p>
      </section>
      {language() !== "en" && <p class="help">{t("trade_words_english")}</p>}
      <section>
        <h2>{t("on_the_phone")}</h2>
        {canInstall ? (
          <button
            type="button"
            class="main"
            onClick={() => {
              void offered?.prompt();
              offered = null;
              setCanInstall(false);
            }}
          >
            {t("install")}
          </button>
        ) : (
          <ul>
            <li>{t("install_android")}</li>
            <li>{t("install_iphone")}</li>
          </ul>
        )}
      </section>
      <section>
        <h2>{t("state_of_things")}</h2>
        <dl class="answers">
          <div>
            <dt>{t("offline_state")}</dt>
            <dd>{offline}</dd>
          </div>
          <div>
            <dt>{t("engine")}</dt>
            <dd>{t(`engine_${engineState()}`)}</dd>
          </div>
          <div>
            <dt>{t("version")}</dt>
            <dd>{BUILD}</dd>
          </div>
          <div>
            <dt>{t("storage_used")}</dt>
            <dd>
              {storage?.used === null || storage?.used === undefined || storage.quota === null
                ? t("storage_unknown")
                : t("of_megabytes", { done: megabytes(storage.used), total: megabytes(storage.quota) })}
            </dd>
          </div>
          <div>
            <dt>{t("storage_kept")}</dt>
            <dd>{storage?.persisted ? t("storage_persisted") : t("storage_may_go")}</dd>
          </div>
        </dl>
        <div class="row">
          {!storage?.persisted && (
            <button
              type="button"
              class="quiet"
              onClick={() => void askPersistence().then(() => storageState().then(setStorage))}
            >
              {t("ask_to_keep")}
            </button>
          )}
          <button type="button" class="quiet" onClick={() => void saveAll()}>
            {t("save_all_file")}
          </button>
        </div>
      </section>
      {inBin.length !== 0 && (
        <section>
          <h2>{t("deleted_jobs")}</h2>
          <p>{t("deleted_text")}</p>
          <ul class="jobs">
            {inBin.map((record) => (
              <li key={record.id} class="row">
                <span>{jobName(record.job) || record.line || t("unnamed_job")}</span>
                <button type="button" class="quiet" onClick={() => void setDeleted(record, false)}>
                  {t("bring_back")}
                </button>
                <button type="button" class="quiet" onClick={() => void eraseJob(record.id)}>
                  {t("delete_for_good")}
                </button>
              </li>
            ))}
          </ul>
        </section>
      )}
      <section>
        <h2>{t("licences")}</h2>
        <div class="row">
          <a class="button quiet" href="licences.txt">
            {t("licences_link")}
          </a>
        </div>
      </section>
    </Page>
  );
}
