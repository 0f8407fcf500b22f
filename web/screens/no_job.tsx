import { useEffect, useState } from "preact/hooks";
import { editJob, setDeleted } from "../jobs/jobs";
import type { JobRecord } from "../jobs/record";
import { Page } from "../parts/page/page";
import { ask, engineState } from "../session/engine";
import { fileName, handOver } from "../session/files";
import { jobName } from "../session/jobs";
import { namedProblem } from "../session/questions";
import { t } from "../words/words";

/** There is no job here that can be read. */
export function NoJob({ id, found }: { id: string; found: { damaged: unknown } | { unread: true } | null }) {
  return (
    <Page title={t("no_such_page")} back={{ href: "#/", label: t("jobs") }}>
      <p>{!found ? t("no_such_job") : "unread" in found ? t("unread_job") : t("damaged_job")}</p>
      {found && "damaged" in found && (
        <button type="button" onClick={() => void saveRaw(id, found.damaged)}>
          {t("save_as_it_is")}
        </button>
      )}
    </Page>
  );
}

/** A job that was deleted, here or in another tab: nothing is written to it until it is brought back. */
export function InTheBin({ record, isErased = false }: { record: JobRecord; isErased?: boolean }) {
  const name = jobName(record.job) || record.line || t("unnamed_job");
  return (
    <Page title={isErased ? t("job_erased") : t("job_in_bin")} back={{ href: "#/", label: t("jobs") }}>
      <p class="lead">{name}</p>
      <p role="alert">{isErased ? t("job_erased_text") : t("job_in_bin_text")}</p>
      <div class="row">
        <button type="button" class="main" onClick={() => void setDeleted(record, false)}>
          {t("bring_back")}
        </button>
        <button type="button" onClick={() => void saveRaw(name, record.job)}>
          {t("save_file")}
        </button>
      </div>
    </Page>
  );
}

/** A job of another format: brought up to date by the engine, or refused in words; never changed in silence. */
export function OtherFormat({ record }: { record: JobRecord }) {
  const [problems, setProblems] = useState<string[]>([]);
  const state = engineState();
  useEffect(() => {
    if (state !== "ready") return;
    void ask({ op: "open", text: JSON.stringify(record.job) }).then((reply) => {
      if (reply.op === "job")
        void editJob(record, { reformed: { from: record.job["format"], job: reply.job } });
      else if (reply.op === "refused") setProblems(reply.problems.map((item) => namedProblem(item)));
      else setProblems([reply.message]);
    });
  }, [state, record.revision]);
  return (
    <Page title={t("no_such_page")} back={{ href: "#/", label: t("jobs") }}>
      <p>{problems.length === 0 ? t("older_waiting") : t("newer_format")}</p>
      {problems.map((problem) => (
        <p key={problem} lang="en">
          {problem}
        </p>
      ))}
      <button type="button" onClick={() => void saveRaw(record.id, record.job)}>
        {t("save_as_it_is")}
      </button>
    </Page>
  );
}

function saveRaw(id: string, record: unknown): Promise<void> {
  return handOver(fileName(id, "json"), "application/json", JSON.stringify(record, null, 1), false);
}
