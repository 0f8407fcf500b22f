import { useEffect, useState } from "preact/hooks";
import { eraseJob } from "../jobs/bin";
import { onJobChange } from "../jobs/changes";
import { brokenImport, importJobs, isImporting, noteImport, type Opened } from "../jobs/import_jobs";
import { createJob, setDeleted } from "../jobs/jobs";
import { type Damaged, findDamaged, type Listing, listJobs } from "../jobs/list";
import { copyPhotos } from "../jobs/photos";
import type { JobRecord } from "../jobs/record";
import { storageTrouble } from "../jobs/trouble";
import { ErrorSummary } from "../parts/error_summary/error_summary";
import { Page } from "../parts/page/page";
import { VerdictShape } from "../parts/verdict/verdict";
import { ask, engineState } from "../session/engine";
import { fileName, handOver } from "../session/files";
import { jobName } from "../session/jobs";
import { notify, offerUndo, say } from "../session/notices";
import { lineOf, namedProblem, questions } from "../session/questions";
import { go } from "../session/route";
import { useSession } from "../session/watching";
import type { Answers } from "../wizard/questions";
import { sameKind } from "../wizard/same_kind";
import { day, t } from "../words/words";

const PAGE_OF_JOBS = 50;
const LARGEST_FILE = 20_000_000;
const LARGEST_IMPORT = 10_000;
/** Held while a file is being opened, in whichever tab. */
const IMPORT_LOCK = "platepath-import";
const SHOWN_EVERY_MS = 100;

// Looked for once, because all records are read for it.
let damagedFound: Promise<Damaged[]> | null = null;

let read: Listing | null = null;

/** Reads the first page of jobs before the app is drawn, so that it is drawn once. */
export async function readFirstJobs(): Promise<void> {
  read = await listJobs("", PAGE_OF_JOBS);
}

function readBefore(): Listing | null {
  const listing = read;
  read = null;
  return listing;
}

/** The start screen: every job with its place, its line, its last result and its day; saved results need no engine. */
export function Jobs() {
  useSession();
  const [search, setSearch] = useState("");
  const [count, setCount] = useState(PAGE_OF_JOBS);
  const [listing, setListing] = useState(readBefore);
  const [damaged, setDamaged] = useState<Damaged[]>([]);
  const [problems, setProblems] = useState<string[]>([]);
  const [opening, setOpening] = useState<Progress | null>(null);

  useEffect(() => {
    let live = true;
    const load = (): void =>
      void listJobs(search, count).then((found) => {
        if (live) setListing(found);
      });
    load();
    const stop = onJobChange(load);
    return () => {
      live = false;
      stop();
    };
  }, [search, count]);
  useEffect(() => {
    damagedFound ??= findDamaged().catch(() => []);
    void damagedFound.then(setDamaged);
    void sayBrokenImport();
  }, []);

  const forget = (id: string): void => {
    const left = damaged.filter((item) => item.id !== id);
    damagedFound = Promise.resolve(left);
    setDamaged(left);
  };

  const open = async (files: FileList | null): Promise<void> => {
    setProblems([]);
    const file = files?.[0];
    if (!file) return;
    const told = await importFile(file, setOpening);
    setOpening(null);
    setProblems(told);
  };

  const places = new Map<string, JobRecord[]>();
  for (const record of listing?.jobs ?? []) {
    const place = String(record.job["place"] ?? "").trim();
    places.set(place, [...(places.get(place) ?? []), record]);
  }
  const empty = listing !== null && listing.jobs.length === 0;

  return (
    <Page title={t("jobs")}>
      <ErrorSummary errors={problems.map((text) => ({ field: "open-file", text }))} />
      <a class="button main" href="#/new">
        {t("new_job")}
      </a>
      {(!empty || search) && (
        <p class="search">
          <label for="search">{t("search_jobs")}</label>
          <input
            id="search"
            type="search"
            value={search}
            autocomplete="off"
            onInput={(event) => setSearch(event.currentTarget.value)}
          />
        </p>
      )}
      {empty && <p class="lead">{search ? t("no_jobs_found") : t("no_jobs_yet")}</p>}
      {[...places].map(([place, records]) => (
        <section key={place} class="place">
          {!place && places.size !== 1 && <h2>{t("no_place")}</h2>}
          {place && (
            <div class="group-head">
              <h2>{place}</h2>
              {records.length !== 1 && <a href={`#/site/${encodeURIComponent(place)}`}>{t("site_report")}</a>}
            </div>
          )}
          <ul class="jobs">
            {records.map((record) => (
              <JobLine key={record.id} record={record} />
            ))}
          </ul>
        </section>
      ))}
      {listing?.more && (
        <button type="button" class="quiet" onClick={() => setCount(count + PAGE_OF_JOBS)}>
          {t("show_more")}
        </button>
      )}
      {damaged.length !== 0 && (
        <section>
          <h2>{t("damaged_records")}</h2>
          <p>{t("damaged_text")}</p>
          <ul class="jobs">
            {damaged.map(({ id, record }) => (
              <li key={id}>
                <p>{id}</p>
                <div class="row">
                  <button
                    type="button"
                    onClick={() =>
                      void handOver(fileName(id, "txt"), "text/plain", JSON.stringify(record, null, 1), false)
                    }
                  >
                    {t("save_as_it_is")}
                  </button>
                  <button
                    type="button"
                    class="quiet"
                    onClick={() => void eraseJob(id).then(() => forget(id))}
                  >
                    {t("delete_for_good")}
                  </button>
                </div>
              </li>
            ))}
          </ul>
        </section>
      )}
      <section class="foot-actions">
        <label class="button quiet">
          <input
            id="open-file"
            type="file"
            disabled={opening !== null}
            accept=".json,.jsonl,.txt,application/json,text/plain"
            class="hidden"
            onChange={(event) => {
              const field = event.currentTarget;
              void open(field.files).then(() => {
                field.value = "";
              });
            }}
          />
          <span>{opening ? t("opening_file") : t("open_file")}</span>
        </label>
        {opening && (
          <label class="opening">
            {opening.done === opening.total
              ? t("import_saving", { total: opening.total })
              : t("import_checking", opening)}
            <progress max={opening.total} value={opening.done} />
          </label>
        )}
      </section>
    </Page>
  );
}

function JobLine({ record }: { record: JobRecord }) {
  const name = jobName(record.job) || t("unnamed_job");
  return (
    <li class="job">
      <a class="job-open" href={`#/job/${record.id}`}>
        <strong>{name}</strong>
        <span class="job-line">{record.line || t("nothing_entered")}</span>
        <JobState record={record} />
        <span class="job-day">{day(record.job["date"])}</span>
      </a>
      <details class="more">
        <summary>
          {t("more")} <span class="hidden">{name}</span>
        </summary>
        <JobActions record={record} />
      </details>
    </li>
  );
}

/** The last result in a line, with a word when answers came after it. */
export function JobState({ record }: { record: JobRecord }) {
  const overall = record.overall;
  if (!overall) return <span class="job-state">{t("no_result_yet")}</span>;
  const shape =
    overall.verdict === "conflict_found"
      ? "does_not_meet"
      : overall.verdict === "no_conflict_found"
        ? "meets"
        : "cannot_tell";
  return (
    <span class="job-state">
      <VerdictShape verdict={shape} />
      <span>
        <span lang="en">{overall.text}</span>
        {overall.revision !== record.revision && ` (${t("before_last_answers")})`}
      </span>
    </span>
  );
}

/** What can be done with a job as a whole. */
export function JobActions({ record }: { record: JobRecord }) {
  const name = jobName(record.job) || t("unnamed_job");
  const copy = async (job: Answers, photos: boolean): Promise<void> => {
    const fresh = await createJob(job, lineOf(job));
    if (photos) await copyPhotos(record.id, fresh.id);
    say(t("job_copied"));
    go(`#/job/${fresh.id}`);
  };
  const file = (share: boolean): void =>
    void handOver(fileName(name, "json"), "application/json", JSON.stringify(record.job, null, 1), share);
  return (
    <>
      <ul class="actions">
        <li>
          <button
            type="button"
            class="quiet"
            onClick={() => void copy(sameKind(questions(), record.job), false)}
          >
            {t("next_same_kind")}
          </button>
        </li>
        <li>
          <button
            type="button"
            class="quiet"
            onClick={() => void copy({ ...record.job, name: t("copy_of", { name }) }, true)}
          >
            {t("duplicate")}
          </button>
        </li>
        <li>
          <button type="button" class="quiet" onClick={() => file(true)}>
            {t("share_file")}
          </button>
        </li>
        <li>
          <button type="button" class="quiet" onClick={() => file(false)}>
            {t("save_file")}
          </button>
        </li>
        <li>
          <button
            type="button"
            class="quiet"
            onClick={() => {
              const from = location.hash;
              void setDeleted(record, true).then((gone) => {
                offerUndo({
                  text: t("job_deleted", { name }),
                  act: () => void setDeleted(gone, false),
                });
                // Whoever has gone on meanwhile is not called back.
                if (location.hash === from) go("#/");
              });
            }}
          >
            {t("delete")}
          </button>
        </li>
      </ul>
      <p class="help">{t("file_holds")}</p>
    </>
  );
}

type Progress = { done: number; total: number };

/** Says of a file that was being opened when the app was closed that it was not opened. */
async function sayBrokenImport(): Promise<void> {
  await navigator.locks?.request(IMPORT_LOCK, { ifAvailable: true }, async (lock) => {
    const name = lock && (await brokenImport());
    if (name) notify(t("import_broken", { name }));
  });
}

/** Brings a file in whole or not at all; says why when not. */
async function importFile(file: File, show: (progress: Progress) => void): Promise<string[]> {
  if (file.size > LARGEST_FILE) return [t("import_too_large")];
  if (engineState() === "failed") return [t("import_needs_engine")];
  const importing = async (): Promise<string[]> => {
    await noteImport(file.name);
    try {
      return await importText(file.name, await file.text(), show);
    } finally {
      if (isImporting()) await noteImport(null);
    }
  };
  // Without locks nobody else could tell that it is still under way.
  return navigator.locks ? navigator.locks.request(IMPORT_LOCK, importing) : importing();
}

async function importText(name: string, text: string, show: (progress: Progress) => void): Promise<string[]> {
  const lines = text.split(/\r?\n/).filter((line) => line.trim() !== "");
  const parts = lines.length > 1 && lines.every((line) => isJson(line)) ? lines : [text];
  if (parts.length > LARGEST_IMPORT) return [t("import_too_large")];
  const jobs: { job: Answers; line: string }[] = [];
  const total = parts.length;
  let shownAt = 0;
  for (const part of parts) {
    if (total > 1 && performance.now() - shownAt > SHOWN_EVERY_MS) {
      shownAt = performance.now();
      show({ done: jobs.length, total });
    }
    const reply = await ask({ op: "open", text: part });
    if (reply.op === "job") {
      jobs.push({ job: reply.job, line: lineOf(reply.job) });
    } else if (reply.op === "refused")
      return [
        t("import_refused", { name }),
        ...reply.problems.slice(0, 5).map((problem) => namedProblem(problem)),
      ];
    else return [t("import_refused", { name }), reply.message];
  }
  if (total > 1) show({ done: total, total });
  let opened: Opened;
  try {
    opened = await importJobs(jobs);
  } catch {
    return [t(storageTrouble() === "silent" ? "import_not_known" : "import_not_saved", { name })];
  }
  const { fresh, known } = opened;
  const told = [t("import_done", { count: fresh.length })];
  if (known.length !== 0) told.push(t("import_known", { count: known.length }));
  if (total === 1) {
    if (known.length !== 0) notify(t("import_known_one"));
    else say(t("import_done", { count: 1 }));
    go(`#/job/${[...fresh, ...known][0]?.id}`);
  } else notify(told.join(" "));
  return [];
}

function isJson(line: string): boolean {
  try {
    return typeof JSON.parse(line) === "object";
  } catch {
    return false;
  }
}
