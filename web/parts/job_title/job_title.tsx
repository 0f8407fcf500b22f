import type { JobRecord } from "../../jobs/record";
import { jobName } from "../../session/jobs";
import { findQuestion } from "../../session/questions";
import { t } from "../../words/words";

const NAME = "name";

/** Which job this page is of, and the way to name it while it has no name. */
export function JobTitle({ record, here }: { record: JobRecord; here: string }) {
  const name = jobName(record.job);
  return (
    <p class="job-title">
      {name ||
        (findQuestion(NAME) ? (
          <a href={`#/job/${record.id}/ask/${NAME}/${here}`}>{t("give_a_name")}</a>
        ) : (
          t("unnamed_job")
        ))}
    </p>
  );
}
