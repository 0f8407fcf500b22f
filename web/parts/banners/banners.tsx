import { useEffect, useState } from "preact/hooks";
import { onJobChange } from "../../jobs/changes";
import { retryUnsaved, settleRemoved } from "../../jobs/keeping";
import { allJobs } from "../../jobs/list";
import { type StorageTrouble, storageTrouble } from "../../jobs/trouble";
import { removedCount, type Unsaved, unsavedJobs } from "../../jobs/unsaved";
import type { UpdateState } from "../../offline/updates";
import { engineState, engineTrouble, restartEngine } from "../../session/engine";
import { handOver } from "../../session/files";
import { jobName } from "../../session/jobs";
import { noticeShown, notify, offerUndo, spoken, undoOffered } from "../../session/notices";
import { findQuestion } from "../../session/questions";
import { useSession } from "../../session/watching";
import { inLanguage } from "../../wizard/wording";
import { language, megabytes, t } from "../../words/words";

export type BannersProps = {
  update: UpdateState | null;
  /** Whether this visit saw the download, so that its end is worth saying. */
  sawDownload: boolean;
  onAccept: () => void;
  onLater: () => void;
};

const UNDO_TIME = 12_000;

/** What the app itself has to say: download, update, storage, undo. Nothing here covers the page. */
export function Banners({ update, sawDownload, onAccept, onLater }: BannersProps) {
  useSession();
  const [, again] = useState({});
  const [readySeen, setReadySeen] = useState(false);
  // Said on the screen on which it came true; on the next one it is old news.
  const [saidAt, setSaidAt] = useState(location.hash);
  const [updateClosed, setUpdateClosed] = useState(false);
  useEffect(() => onJobChange((id) => (id === null || storageTrouble()) && again({})), []);
  useEffect(() => {
    setUpdateClosed(false);
    setReadySeen(false);
    setSaidAt(location.hash);
  }, [update?.kind]);
  const undo = undoOffered();
  useEffect(() => {
    if (!undo) return undefined;
    const timer = setTimeout(() => offerUndo(null), UNDO_TIME);
    return () => clearTimeout(timer);
  }, [undo]);
  const trouble = storageTrouble();
  // What the engine lacks is said once, where it says that it is not running.
  const isSaid =
    update?.kind === "failed" && update.cause === "damaged" && engineTrouble() === "parts_missing";
  return (
    <div class="banners">
      {trouble && <StorageTrouble trouble={trouble} />}
      {engineState() === "failed" && (
        <section class="banner trouble" aria-label={t("engine_failed_title")}>
          <p role="alert">
            <strong>{t("engine_failed_title")}</strong> {t(`engine_${engineTrouble() ?? "stopped"}`)}{" "}
            {t("engine_failed_kept")}
          </p>
          <button
            type="button"
            onClick={() => (engineTrouble() === "mixed_versions" ? location.reload() : restartEngine())}
          >
            {t("start_again")}
          </button>
        </section>
      )}
      {engineState() === "starting" && engineTrouble() === "stopped" && (
        <section class="banner" aria-label={t("engine_restarting")}>
          <p role="status">{t("engine_restarting")}</p>
        </section>
      )}
      {update?.kind === "first_visit" && (
        <section class="banner" aria-label={t("downloading")}>
          <label>
            {t("downloading")}{" "}
            {t("unpacked_megabytes", { done: megabytes(update.done), total: megabytes(update.total) })}
            <progress max={update.total || 1} value={update.done} />
          </label>
        </section>
      )}
      {update?.kind === "offline_ready" && sawDownload && !readySeen && saidAt === location.hash && (
        <section class="banner one" aria-label={t("offline_ready")}>
          <p role="status">{t("offline_ready")}</p>
          <button type="button" onClick={() => setReadySeen(true)}>
            {t("close")}
          </button>
        </section>
      )}
      {update?.kind === "mended" && !readySeen && (
        <section class="banner one" aria-label={t("mended")}>
          <p role="status">
            {t("mended")} {update.reopen && t("mended_reopen")}
          </p>
          <button type="button" onClick={() => (update.reopen ? location.reload() : setReadySeen(true))}>
            {t(update.reopen ? "reopen" : "close")}
          </button>
        </section>
      )}
      {update?.kind === "update_waiting" && !updateClosed && (
        <section class="banner" aria-label={t("update_waiting")}>
          <p role="status">
            <strong>{t("update_waiting")}</strong> {t("update_kept")}
          </p>
          <div class="row">
            <button type="button" onClick={onAccept}>
              {t("update_now")}
            </button>
            <button type="button" onClick={() => setUpdateClosed(true)}>
              {t("update_finish_first")}
            </button>
            <button
              type="button"
              onClick={() => {
                onLater();
                setUpdateClosed(true);
              }}
            >
              {t("update_not_today")}
            </button>
          </div>
        </section>
      )}
      {(update?.kind === "unsupported" || update?.kind === "failed") && !readySeen && !isSaid && (
        <section class="banner one" aria-label={t("offline_not_ready")}>
          <div>
            <p role="status">
              <strong>{t("offline_not_ready")}</strong>{" "}
              {t(`offline_${update.kind === "failed" ? update.cause : update.kind}`)}
            </p>
            <details class="more">
              <summary>{t("details")}</summary>
              <p lang="en">{update.message}</p>
            </details>
          </div>
          <button type="button" onClick={() => setReadySeen(true)}>
            {t("close")}
          </button>
        </section>
      )}
      {noticeShown() && (
        <section class="banner one" aria-label={noticeShown() ?? ""}>
          <p role="status">{noticeShown()}</p>
          <button type="button" onClick={() => notify(null)}>
            {t("close")}
          </button>
        </section>
      )}
      {undo && (
        <section class="banner one undo" aria-label={undo.text}>
          <p role="status">{undo.text}</p>
          <button
            type="button"
            onClick={() => {
              undo.act();
              offerUndo(null);
            }}
          >
            {t("undo")}
          </button>
        </section>
      )}
      <p class="hidden" role="status" aria-live="polite" id="announcer">
        {spoken()}
      </p>
    </div>
  );
}

const MOST_NAMED = 5;

function StorageTrouble({ trouble }: { trouble: StorageTrouble }) {
  const words = {
    missing: t("storage_missing"),
    full: t("storage_full"),
    failed: t("storage_failed"),
    lost: t("storage_lost"),
    removed: t("storage_removed", { count: removedCount() }),
    old_tab: t("storage_old_tab"),
    silent: t("storage_silent"),
  };
  const title =
    trouble === "removed" || trouble === "lost" ? t(`storage_${trouble}_title`) : t("storage_trouble");
  const unsaved = unsavedJobs();
  return (
    <section class="banner trouble" aria-label={title}>
      <p role="alert">
        <strong>{title}</strong> {words[trouble]}
      </p>
      {unsaved.length !== 0 && (
        <>
          <p>{t("not_saved_yet")}</p>
          <ul>
            {unsaved.slice(0, MOST_NAMED).map((one) => (
              <li key={one.record.id}>
                <a href={`#/job/${one.record.id}`}>{jobName(one.record.job) || t("unnamed_job")}</a>:{" "}
                {unsavedWords(one)}
              </li>
            ))}
            {unsaved.length > MOST_NAMED && (
              <li>{t("and_more_jobs", { count: unsaved.length - MOST_NAMED })}</li>
            )}
          </ul>
        </>
      )}
      <div class="row">
        {trouble === "removed" && (
          <button type="button" onClick={() => void settleRemoved(true)}>
            {t("put_back")}
          </button>
        )}
        <button type="button" onClick={() => void saveAll()}>
          {t("save_all_file")}
        </button>
        {trouble === "removed" ? (
          <button type="button" onClick={() => void settleRemoved(false)}>
            {t("let_go")}
          </button>
        ) : (
          <button type="button" onClick={() => void retryUnsaved()}>
            {t("try_again")}
          </button>
        )}
      </div>
    </section>
  );
}

/** What of one job is not saved, by the names of its questions. */
function unsavedWords({ paths, signature, photos }: Unsaved): string {
  const names = paths.map((path) => {
    const question = findQuestion(path);
    return question ? inLanguage(question, "label", language()) : path;
  });
  const shown = names.slice(0, MOST_NAMED);
  if (names.length > shown.length) shown.push(t("and_more", { count: names.length - shown.length }));
  if (signature) shown.push(t("signature"));
  if (photos !== 0) shown.push(t("photos_count", { count: photos }));
  return shown.join("; ") || t("whole_job");
}

/** Every job, one a line, as a file that the import and the command line both read. Never an empty one. */
export async function saveAll(): Promise<void> {
  const { jobs, isWhole } = await allJobs();
  if (jobs.length === 0) {
    notify(t(isWhole ? "nothing_to_save" : "nothing_could_be_read"));
    return;
  }
  if (!isWhole) notify(t("saved_what_is_here", { count: jobs.length }));
  await handOver("jobs.jsonl", "application/jsonl", jobs.map((job) => JSON.stringify(job)).join("\n"), false);
}
