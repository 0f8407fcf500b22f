import { useEffect, useState } from "preact/hooks";
import {
  engineState,
  engineTrouble,
  handOver,
  offerUndo,
  restartEngine,
  spoken,
  undoOffered,
  useSession,
} from "../../session";
import * as store from "../../store";
import type { UpdateState } from "../../update";
import { megabytes, t } from "../../words/words";

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
  useEffect(() => store.onChange((id) => id === null && again({})), []);
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
  const trouble = store.storageTrouble();
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
      {(update?.kind === "unsupported" || update?.kind === "failed") && !readySeen && (
        <section class="banner one" aria-label={t("offline_not_ready")}>
          <div>
            <p role="status">
              <strong>{t("offline_not_ready")}</strong> {t(`offline_${update.kind}`)}
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

function StorageTrouble({ trouble }: { trouble: store.StorageTrouble }) {
  const words = {
    missing: t("storage_missing"),
    full: t("storage_full"),
    failed: t("storage_failed"),
    old_tab: t("storage_old_tab"),
    silent: t("storage_silent"),
  };
  return (
    <section class="banner trouble" aria-label={t("storage_trouble")}>
      <p role="alert">
        <strong>{t("storage_trouble")}</strong> {words[trouble]}
      </p>
      <div class="row">
        <button type="button" onClick={() => void saveAll()}>
          {t("save_all_file")}
        </button>
        <button type="button" onClick={() => void store.retryUnsaved()}>
          {t("try_again")}
        </button>
      </div>
    </section>
  );
}

/** Every job, one a line, as a file that the import and the command line both read. */
export async function saveAll(): Promise<void> {
  const jobs = await store.allJobs();
  await handOver("jobs.jsonl", "application/jsonl", jobs.map((job) => JSON.stringify(job)).join("\n"), false);
}
