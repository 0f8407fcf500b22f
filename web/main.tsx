/** Mounts the screen, opens the store, starts the engine and watches for updates; nothing waits for the engine. */
import { render } from "preact";
import { useEffect, useState } from "preact/hooks";
import { QUESTIONS_URL } from "./generated/version";
import { isImporting } from "./jobs/import_jobs";
import { openStore } from "./jobs/keeping";
import type { JobRecord } from "./jobs/record";
import { getSetting, setSetting } from "./jobs/settings";
import { hasUnsaved } from "./jobs/unsaved";
import {
  checkFiles,
  onComplete,
  onMended,
  openMended,
  sayRunning,
  type UpdateState,
  watchUpdates,
} from "./offline/updates";
import { Banners, saveAll } from "./parts/banners/banners";
import { Jobs, readFirstJobs } from "./screens/jobs";
import { QuestionScreen } from "./screens/question";
import { Start } from "./screens/start";
import { setEngine } from "./session/engine";
import { isJob, useJob } from "./session/jobs";
import { questions, setQuestions } from "./session/questions";
import { useSession } from "./session/watching";
import { JOB_FORMAT, type Questions } from "./wizard/questions";
import { firstOpen, requiredOpen } from "./wizard/walk";
import { phoneLanguage, setLanguage, t, type Language } from "./words/words";
import { startEngine } from "./worker/client";

type Updates = ReturnType<typeof watchUpdates>;
let updates: Updates | null = null;

/** The page that was left for the settings. */
let leftAt = "#/";

function routeOf(hash: string): string[] {
  return hash.replace(/^#\/?/, "").split("/");
}

function useRoute(): string[] {
  const [hash, setHash] = useState(location.hash);
  useEffect(() => {
    const moved = (): void => setHash(location.hash);
    addEventListener("hashchange", moved);
    return () => removeEventListener("hashchange", moved);
  }, []);
  const route = routeOf(hash);
  if (route[0] !== "about") leftAt = hash || "#/";
  return route;
}

function App() {
  const route = useRoute();
  const [update, setUpdate] = useState<UpdateState | null>(null);
  const [sawDownload, setSawDownload] = useState(false);
  const [, again] = useState({});
  useEffect(() => {
    updates ??= watchUpdates((state) => {
      if (state.kind === "first_visit") setSawDownload(true);
      setUpdate(state);
    });
  }, []);
  const changeLanguage = (next: Language): void => {
    void setSetting("language", next);
    void setLanguage(next).then(() => again({}));
  };
  const offline =
    update === null
      ? t("offline_checking")
      : update.kind === "first_visit"
        ? t("offline_not_yet")
        : update.kind === "unsupported" || update.kind === "failed"
          ? t(`offline_${update.kind === "failed" ? update.cause : update.kind}`)
          : t("offline_works");
  return (
    <>
      <a
        class="skip"
        href="#main"
        onClick={(event) => {
          event.preventDefault();
          document.querySelector<HTMLElement>("h1")?.focus();
        }}
      >
        {t("skip")}
      </a>
      <header class="masthead">
        <a href="#/">Platepath</a>
        {route[0] !== "about" && (
          <a class="to-settings" href="#/about">
            {t("settings")}
          </a>
        )}
      </header>
      <Banners
        update={update}
        sawDownload={sawDownload}
        onAccept={() => updates?.accept()}
        onLater={() => updates?.later()}
      />
      <Screen key={route.join("/")} route={route} offline={offline} onLanguage={changeLanguage} />
    </>
  );
}

type Later = typeof import("./screens/later");
let later: Later | null = null;

/** The screens that come in after the first one; null while they do, and where a file of theirs is damaged. */
function useLater(): Later | null {
  const [, again] = useState({});
  useEffect(() => {
    if (!later) void loadLater().then(() => again({}));
  }, []);
  return later;
}

async function loadLater(): Promise<void> {
  // What cannot be read is said by the check of all files, which also mends it.
  later ??= await import("./screens/later").catch(() => checkFiles().then(() => null));
}

function Coming() {
  return <main id="main" aria-busy="true" />;
}

function Screen(props: { route: string[]; offline: string; onLanguage: (next: Language) => void }) {
  const [name, id, page, path, from] = props.route;
  const rest = useLater();
  if (name === "new") return <Start />;
  if (name === "about") {
    if (!rest) return <Coming />;
    return <rest.About back={leftAt} offline={props.offline} onLanguage={props.onLanguage} />;
  }
  if (name === "site" && id) return rest ? <rest.Site place={decoded(id)} /> : <Coming />;
  if (name === "job" && id)
    return <JobScreen id={id} page={page ?? ""} path={path ?? ""} from={from ?? null} />;
  return <Jobs />;
}

function decoded(text: string): string {
  try {
    return decodeURIComponent(text);
  } catch {
    return text;
  }
}

function JobScreen({
  id,
  page,
  path,
  from,
}: {
  id: string;
  page: string;
  path: string;
  from: string | null;
}) {
  const loaded = useJob(id);
  useSession();
  const rest = useLater();
  if (loaded === undefined) return <Coming />;
  if (loaded && "erased" in loaded)
    return rest ? <rest.InTheBin record={loaded.erased} isErased /> : <Coming />;
  if (!isJob(loaded)) return rest ? <rest.NoJob id={id} found={loaded} /> : <Coming />;
  if (loaded.deleted) return rest ? <rest.InTheBin record={loaded} /> : <Coming />;
  if (loaded.job["format"] !== JOB_FORMAT) return rest ? <rest.OtherFormat record={loaded} /> : <Coming />;
  if (page === "ask" && path) return <QuestionScreen record={loaded} path={path} from={from} />;
  const change = path || null;
  if (page === "answers") return rest ? <rest.CheckAnswers record={loaded} changed={change} /> : <Coming />;
  if (page === "limits") return rest ? <rest.Results record={loaded} /> : <Coming />;
  if (page === "checklist") return rest ? <rest.Checklist record={loaded} /> : <Coming />;
  if (page === "report") return rest ? <rest.Report record={loaded} /> : <Coming />;
  return <WhereItWasLeft record={loaded} />;
}

/** Opens a job at the page that helps most: the first needed question, else the checklist. */
function WhereItWasLeft({ record }: { record: JobRecord }) {
  useEffect(() => {
    const home = `#/job/${record.id}`;
    const open =
      requiredOpen(questions(), record.job).length !== 0 ? firstOpen(questions(), record.job) : null;
    location.replace(open ? `${home}/ask/${open}` : `${home}/checklist`);
  }, [record.id]);
  return <Coming />;
}

let isShown = false;

/** A start that failed may be the fault of a damaged file: once all are whole, the page opens again. */
function openOnWhole(): void {
  onMended(openMended);
  onComplete(openMended);
  watchUpdates(() => undefined);
  void checkFiles();
}

/** Whatever fails unforeseen is said, with the way to a file; the answers are already on the disk. */
function sayFailure(what: unknown): void {
  if (document.getElementById("failure")) return;
  if (!isShown) openOnWhole();
  const place = document.createElement("div");
  place.id = "failure";
  document.body.prepend(place);
  const again = (): void => location.reload();
  render(
    <section class="banner trouble" aria-label={t("own_fault")}>
      <p role="alert">
        <strong>{t("own_fault")}</strong> {what instanceof Error ? what.message : String(what)}
      </p>
      <div class="row">
        <button type="button" onClick={again}>
          {t("start_again")}
        </button>
        <button type="button" onClick={() => void saveAll()}>
          {t("save_all_file")}
        </button>
      </div>
    </section>,
    place,
  );
}

async function readQuestions(): Promise<Questions | null> {
  const response = await fetch(QUESTIONS_URL).catch(() => null);
  const file: Questions | null = response?.ok ? await response.json().catch(() => null) : null;
  return file;
}

/** The manifest is for whoever installs the app: the browser reads it after the first screen, not in front of it. */
function nameManifest(): void {
  const link = document.createElement("link");
  link.rel = "manifest";
  link.href = "manifest.webmanifest";
  document.head.append(link);
}

async function start(): Promise<void> {
  sayRunning();
  const root = document.getElementById("app");
  if (!root) return;
  addEventListener("error", (event) => {
    if (event.error) sayFailure(event.error);
  });
  addEventListener("unhandledrejection", (event) => sayFailure(event.reason));
  const [file] = await Promise.all([readQuestions(), openStore()]);
  const language = getSetting("language", phoneLanguage()).then(setLanguage);
  await Promise.all([language, routeOf(location.hash)[0] === "" ? readFirstJobs() : null]);
  root.removeAttribute("aria-busy");
  if (!file) {
    root.replaceChildren();
    render(
      <main>
        <h1>Platepath</h1>
        <p class="note">{t("questions_missing")}</p>
      </main>,
      root,
    );
    return openOnWhole();
  }
  setQuestions(file);
  setEngine(startEngine(() => undefined));
  addEventListener("beforeunload", (event) => {
    if (hasUnsaved() || isImporting()) event.preventDefault();
  });
  if (location.hash === "") history.replaceState(null, "", "#/");
  root.replaceChildren();
  render(<App />, root);
  isShown = true;
  requestAnimationFrame(() => setTimeout(nameManifest));
}

void start();
