import { useEffect, useState } from "preact/hooks";
import { photosOf } from "../jobs/photos";
import type { JobRecord } from "../jobs/record";
import { getSetting } from "../jobs/settings";
import { JobNav } from "../parts/job_nav/job_nav";
import { JobTitle } from "../parts/job_title/job_title";
import { Page } from "../parts/page/page";
import { dataUrl, usePhotos } from "../parts/photos/photos";
import { ResultState } from "../parts/result_state/result_state";
import { Signature } from "../parts/signature/signature";
import { ask, engineState, type Paper, type ReportDocument, useOutcome } from "../session/engine";
import { fileName, handOver } from "../session/files";
import { jobName } from "../session/jobs";
import { say } from "../session/notices";
import { namedProblem } from "../session/questions";
import { t } from "../words/words";
import { Overall } from "./checklist";

/** What is kept: the drawing, the written questions, the signed report to print or share. */
export function Report({ record }: { record: JobRecord }) {
  const outcome = useOutcome(record);
  const photos = usePhotos(record.id);
  const [made, setMade] = useState<ReportDocument | null>(null);
  const [problem, setProblem] = useState("");
  const name = jobName(record.job) || t("unnamed_job");
  const result = outcome.result;
  const broken = result?.checks.some((check) => check.verdict === "does_not_meet");
  const ready = engineState() === "ready" && outcome.current && result !== null;
  const shots = photos.map((photo) => photo.id).join(" ");
  useEffect(() => {
    if (!ready) return undefined;
    let live = true;
    void makeReport(record).then((reply) => {
      if (!live) return;
      if (typeof reply === "string") setProblem(reply);
      else {
        setProblem("");
        setMade(reply);
      }
    });
    return () => {
      live = false;
    };
  }, [ready, record.id, record.revision, shots, record.signature?.when, record.signature?.data_url]);

  return (
    <Page
      title={t("nav_report")}
      windowTitle={`${t("nav_report")} – ${name}`}
      back={{ href: "#/", label: t("jobs") }}
    >
      <JobTitle record={record} here="report" />
      <JobNav id={record.id} here="report" />
      <ResultState record={record} outcome={outcome} />
      {problem && (
        <p class="note" role="alert">
          {problem}
        </p>
      )}
      {result && <Overall result={result} />}
      {made && (
        <section aria-label={t("printed_report")}>
          <h2>{t("printed_report")}</h2>
          <div class="row">
            <button type="button" class="main" onClick={() => printFrame("report-frame")}>
              {t("print")}
            </button>
            <button
              type="button"
              onClick={() =>
                void handOver(made.file_name || fileName(name, "html"), "text/html", made.html, true)
              }
            >
              {t("share_report")}
            </button>
            <button
              type="button"
              onClick={() =>
                void handOver(made.file_name || fileName(name, "html"), "text/html", made.html, false)
              }
            >
              {t("save_report")}
            </button>
          </div>
          <details class="frame">
            <summary>{t("look_at_report")}</summary>
            <ReportFrame id="report-frame" html={made.html} />
          </details>
        </section>
      )}
      {made?.drawing_svg && (
        <section>
          <h2>{t("drawing")}</h2>
          <Drawing svg={made.drawing_svg} text={made.drawing_text} />
        </section>
      )}
      <section>
        <h2>{t("signature")}</h2>
        <Signature key={record.signature?.when ?? "open"} record={record} />
      </section>
      <Letters
        title={t("written_questions")}
        text={t("written_questions_text")}
        letters={result?.written_questions ?? []}
        name={name}
      />
      <Letters
        title={t("correction_notice")}
        text={t("correction_notice_text")}
        letters={made?.correction_notice && broken ? [made.correction_notice] : []}
        name={name}
      />
      {(result?.cautions ?? []).length !== 0 && (
        <section>
          <h2>{t("cautions")}</h2>
          <ul lang="en">
            {(result?.cautions ?? []).map((caution) => (
              <li key={caution}>{caution}</li>
            ))}
          </ul>
        </section>
      )}
    </Page>
  );
}

/** The report of one job with its photos and signature, or the words why not. */
export async function makeReport(record: JobRecord): Promise<ReportDocument | string> {
  const photos = [];
  for (const photo of await photosOf(record.id))
    photos.push({ check: photo.check, name: photo.name, data_url: await dataUrl(photo) });
  const reply = await ask({
    op: "report",
    job: record.job,
    photos,
    paper: await getSetting<Paper>("paper", "Letter"),
    signature_data_url: record.signature?.data_url || null,
  });
  if (reply.op === "document") return reply;
  if (reply.op === "refused") return reply.problems.map((item) => namedProblem(item)).join(" ");
  return `${t("report_failed")} ${reply.message}`;
}

/** The document in a frame that may print but not run anything. */
export function ReportFrame({ id, html }: { id: string; html: string }) {
  return (
    <iframe
      id={id}
      class="paper"
      title={t("printed_report")}
      sandbox="allow-same-origin allow-modals"
      srcdoc={html}
      onLoad={(event) => breakPages(event.currentTarget)}
    />
  );
}

/** The page's policy takes no style written in a joined document, so the page breaks are set from here. */
function breakPages(frame: HTMLIFrameElement): void {
  for (const part of frame.contentDocument?.querySelectorAll<HTMLElement>(".next-report") ?? [])
    part.style.breakBefore = "page";
}

/** Prints the document in a frame; a folded frame is opened first, because what is not laid out prints empty. */
export function printFrame(id: string): void {
  const frame = document.getElementById(id) as HTMLIFrameElement | null;
  const folded = frame?.closest("details");
  if (folded) folded.open = true;
  requestAnimationFrame(() => {
    frame?.contentWindow?.focus();
    frame?.contentWindow?.print();
  });
}

function Drawing({ svg, text }: { svg: string; text: string }) {
  const [address, setAddress] = useState("");
  useEffect(() => {
    const made = URL.createObjectURL(new Blob([svg], { type: "image/svg+xml" }));
    setAddress(made);
    return () => URL.revokeObjectURL(made);
  }, [svg]);
  return (
    <figure class="drawing">
      {address && <img src={address} alt={t("drawing_alt")} />}
      <figcaption>
        <details open>
          <summary>{t("drawing_in_words")}</summary>
          {text.split("\n").map((line, index) => (
            <p key={index} lang="en">
              {line}
            </p>
          ))}
        </details>
      </figcaption>
    </figure>
  );
}

type LettersProps = { title: string; text: string; letters: string[]; name: string };

/** Ready texts, to copy or to hand to another app. */
function Letters({ title, text: about, letters, name }: LettersProps) {
  if (letters.length === 0) return null;
  const share = async (text: string): Promise<void> => {
    try {
      await navigator.share({ title: name, text });
    } catch {
      return;
    }
  };
  const copy = async (text: string): Promise<void> => {
    try {
      await navigator.clipboard.writeText(text);
      say(t("copied"));
    } catch {
      say(t("copy_refused"));
    }
  };
  return (
    <section>
      <h2>{title}</h2>
      <p class="help">{about}</p>
      <ul class="letters">
        {letters.map((text) => (
          <li key={text}>
            <blockquote lang="en">{text}</blockquote>
            <div class="row">
              <button type="button" class="quiet" onClick={() => void copy(text)}>
                {t("copy")}
              </button>
              {"share" in navigator && (
                <button type="button" class="quiet" onClick={() => void share(text)}>
                  {t("share")}
                </button>
              )}
            </div>
          </li>
        ))}
      </ul>
    </section>
  );
}
