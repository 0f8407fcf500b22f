import { useEffect, useState } from "preact/hooks";
import { listJobs } from "../jobs/list";
import type { JobRecord } from "../jobs/record";
import { Page } from "../parts/page/page";
import { engineState } from "../session/engine";
import { fileName, handOver } from "../session/files";
import { jobName } from "../session/jobs";
import { useSession } from "../session/watching";
import { t } from "../words/words";
import { JobState } from "./jobs";
import { makeReport, printFrame, ReportFrame } from "./report";

const MOST_JOBS = 200;

/** All jobs of one place, and their reports as one document. */
export function Site({ place }: { place: string }) {
  useSession();
  const [records, setRecords] = useState<JobRecord[] | null>(null);
  const [html, setHtml] = useState("");
  const [problem, setProblem] = useState("");
  const [busy, setBusy] = useState(false);
  useEffect(() => {
    void listJobs(place, MOST_JOBS).then((listing) => {
      const here = listing.jobs.filter((record) => String(record.job["place"] ?? "").trim() === place);
      setRecords(here.reverse());
    });
  }, [place]);
  const make = async (): Promise<void> => {
    setBusy(true);
    const pages: string[] = [];
    const refused: string[] = [];
    for (const record of records ?? []) {
      const made = await makeReport(record);
      if (typeof made === "string") refused.push(`${jobName(record.job) || t("unnamed_job")}: ${made}`);
      else pages.push(made.html);
    }
    setProblem(refused.join(" "));
    setHtml(joined(pages));
    setBusy(false);
  };
  return (
    <Page
      title={t("site_report")}
      windowTitle={`${t("site_report")} – ${place}`}
      back={{ href: "#/", label: t("jobs") }}
    >
      <p class="lead">{place}</p>
      <ul class="jobs">
        {records?.map((record) => (
          <li class="job" key={record.id}>
            <a class="job-open" href={`#/job/${record.id}`}>
              <strong>{jobName(record.job) || t("unnamed_job")}</strong>
              <span class="job-line">{record.line}</span>
              <JobState record={record} />
            </a>
          </li>
        ))}
      </ul>
      {engineState() !== "ready" && <p class="note">{t("result_being_made")}</p>}
      {problem && (
        <p class="note" role="alert">
          {problem}
        </p>
      )}
      <div class="row">
        <button
          type="button"
          class="main"
          disabled={busy || !records || engineState() !== "ready"}
          onClick={() => void make()}
        >
          {busy ? t("making_report") : t("make_site_report")}
        </button>
        {html && (
          <>
            <button type="button" onClick={() => printFrame("site-frame")}>
              {t("print")}
            </button>
            <button
              type="button"
              onClick={() => void handOver(fileName(place, "html"), "text/html", html, true)}
            >
              {t("share_report")}
            </button>
          </>
        )}
      </div>
      {html && <ReportFrame id="site-frame" html={html} />}
    </Page>
  );
}

/** Several report documents as one, each on its own page. */
function joined(pages: string[]): string {
  const parser = new DOMParser();
  const whole = parser.parseFromString(pages[0] ?? "", "text/html");
  const breaks = whole.createElement("style");
  breaks.textContent = ".next-report { break-before: page; }";
  whole.head.append(breaks);
  for (const page of pages.slice(1)) {
    const next = whole.createElement("section");
    next.className = "next-report";
    next.append(...parser.parseFromString(page, "text/html").body.childNodes);
    whole.body.append(next);
  }
  return `<!doctype html>${whole.documentElement.outerHTML}`;
}
