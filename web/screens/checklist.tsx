import type { ComponentChildren } from "preact";
import { useEffect, useRef, useState } from "preact/hooks";
import type { JobRecord, Photo } from "../jobs/record";
import { Citation } from "../parts/citation/citation";
import { Contradictions } from "../parts/contradictions/contradictions";
import { JobNav } from "../parts/job_nav/job_nav";
import { JobTitle } from "../parts/job_title/job_title";
import { Page } from "../parts/page/page";
import { Photos, usePhotos } from "../parts/photos/photos";
import { answerOf, QuestionForm } from "../parts/question_form/question_form";
import { ResultState } from "../parts/result_state/result_state";
import { Steps } from "../parts/steps/steps";
import { shownAs, Verdict, VerdictShape } from "../parts/verdict/verdict";
import { type Check, engineState, type Result, useOutcome } from "../session/engine";
import { jobName } from "../session/jobs";
import { say } from "../session/notices";
import { findQuestion } from "../session/questions";
import { inLanguage } from "../wizard/wording";
import { language, t } from "../words/words";
import { resultGroups } from "./results";

const verdicts = ["does_not_meet", "cannot_tell", "unwise", "meets", "does_not_apply"] as const;
type Order = "walk" | "conflicts" | "open";

/** Every check in walking order, with what is required, what was found, and a quick answer where one is missing. */
export function Checklist({ record }: { record: JobRecord }) {
  const outcome = useOutcome(record);
  const photos = usePhotos(record.id);
  const [order, setOrder] = useState<Order>("walk");
  const [frozen, setFrozen] = useState<string[]>([]);
  const name = jobName(record.job) || t("unnamed_job");
  const result = outcome.result;
  useSpokenChanges(record.id, result);

  const choose = (next: Order): void => {
    setOrder(next);
    if (!result) return;
    const ranked = verdicts.flatMap((shown) => result.checks.filter((check) => shownAs(check) === shown));
    setFrozen((next === "open" ? ranked.filter(isOpen) : ranked).map((check) => check.id));
  };

  const stale = outcome.stale && engineState() !== "ready";
  const line = (check: Check) => (
    <CheckLine key={check.id} record={record} check={check} photos={photos} stale={stale} />
  );
  return (
    <Page
      title={t("nav_checklist")}
      windowTitle={`${t("nav_checklist")} – ${name}`}
      back={{ href: "#/", label: t("jobs") }}
    >
      <JobTitle record={record} here="checklist" />
      <JobNav id={record.id} here="checklist" />
      <ResultState record={record} outcome={outcome} />
      {result && (
        <>
          <Overall result={result} />
          <Contradictions job_id={record.id} found={result.contradictions} here="checklist" />
          <OpenItems record={record} result={result} />
          <div class="orders" role="group" aria-label={t("order")}>
            {(["walk", "conflicts", "open"] as const).map((item) => (
              <button type="button" key={item} aria-pressed={order === item} onClick={() => choose(item)}>
                {t(`order_${item}`)}
              </button>
            ))}
          </div>
          {order === "walk" ? (
            <>
              {resultGroups(result).map((group) => {
                const mine = result.checks.filter((check) => check.group === group.id && isAsked(check));
                return <CheckGroup key={group.id} {...group} checks={mine} line={line} />;
              })}
              <Folded
                title={t("not_asked")}
                checks={result.checks.filter((check) => !isAsked(check))}
                line={line}
              />
            </>
          ) : (
            <section>
              <h2>{t(`order_${order}`)}</h2>
              <ul class="checks">
                {frozen.flatMap((id) => result.checks.filter((check) => check.id === id)).map(line)}
                {frozen.length === 0 && <li>{t("nothing_open")}</li>}
              </ul>
            </section>
          )}
        </>
      )}
      <div class="go-on">
        <a class="button main" href={`#/job/${record.id}/report`}>
          {t("to_report")}
        </a>
      </div>
      {result && <NextOpen count={result.checks.filter((check) => isAsked(check) && isOpen(check)).length} />}
    </Page>
  );
}

type Line = (check: Check) => ComponentChildren;

/** What this visit looks at; a conflict is never folded away, whatever the visit is for. */
function isAsked(check: Check): boolean {
  return check.asked || check.verdict === "does_not_meet";
}

/** What waits for an answer or for a repair; advice does not. */
function isOpen(check: Check): boolean {
  return (
    check.severity !== "advice" && (check.verdict === "does_not_meet" || check.verdict === "cannot_tell")
  );
}

/** Goes to the open line after the one that was gone to last, or after the top of what is seen; then to the first. */
function NextOpen({ count }: { count: number }) {
  const last = useRef("");
  if (count === 0) return null;
  const go = (): void => {
    const lines = [...document.querySelectorAll<HTMLElement>(".check[data-open]")];
    // The button itself has the focus by now, so the line is remembered.
    const here = document.getElementById(last.current);
    const seen = here ? here.getBoundingClientRect() : null;
    const from = here && seen && seen.bottom > 0 && seen.top < innerHeight ? here : null;
    const next = lines.find((line) =>
      from
        ? from.compareDocumentPosition(line) & Node.DOCUMENT_POSITION_FOLLOWING
        : line.getBoundingClientRect().top > 0,
    );
    const line = next ?? lines[0];
    last.current = line?.id ?? "";
    line?.scrollIntoView({ block: "start" });
    line?.querySelector<HTMLElement>("h3")?.focus({ preventScroll: true });
  };
  return (
    <div class="thumb">
      <button type="button" class="main" onClick={go}>
        {t("next_open_line")}
        <span class="count">{t("open_count", { count })}</span>
      </button>
    </div>
  );
}

function CheckGroup({
  title,
  text,
  checks,
  line,
}: {
  title: string;
  text: string;
  checks: Check[];
  line: Line;
}) {
  const folded = checks.filter((check) => check.verdict === "does_not_apply");
  if (checks.length === 0) return null;
  return (
    <section>
      <h2>{title}</h2>
      {text && <p class="line">{text}</p>}
      <ul class="checks">{checks.filter((check) => check.verdict !== "does_not_apply").map(line)}</ul>
      <Folded title={t("does_not_apply")} checks={folded} line={line} />
    </section>
  );
}

function Folded({ title, checks, line }: { title: string; checks: Check[]; line: Line }) {
  const [open, setOpen] = useState(false);
  if (checks.length === 0) return null;
  return (
    <details class="more" onToggle={(event) => setOpen(event.currentTarget.open)}>
      <summary>
        {title} ({checks.length})
      </summary>
      {open && <ul class="checks">{checks.map(line)}</ul>}
    </details>
  );
}

/** What to look at next, and where it stands. */
function OpenItems({ record, result }: { record: JobRecord; result: Result }) {
  if (result.open_items.length === 0) return null;
  return (
    <details class="more">
      <summary>{t("still_to_read", { count: result.open_items.length })}</summary>
      <ul class="open-items" lang="en">
        {result.open_items.map((item) => (
          <li key={item.path}>
            <a href={`#/job/${record.id}/ask/${item.path}/checklist`}>{item.label}</a>
            <span>{item.where}</span>
          </li>
        ))}
      </ul>
    </details>
  );
}

/** The statement over the whole job; never more than what the engine says. */
export function Overall({ result }: { result: Result }) {
  const counted = result.overall.counts;
  const counts = [
    { verdict: "does_not_meet", word: "does_not_meet", count: counted["does_not_meet"] ?? 0 },
    { verdict: "cannot_tell", word: "cannot_tell", count: counted["cannot_tell"] ?? 0 },
    { verdict: "meets", word: "meets", count: counted["meets"] ?? 0 },
    { verdict: "does_not_apply", word: "does_not_apply", count: counted["does_not_apply"] ?? 0 },
    { verdict: "unwise", word: "unwise", count: counted["advice_not_met"] ?? 0 },
    { verdict: "cannot_tell", word: "advice_open", count: counted["advice_open"] ?? 0 },
  ] as const;
  const advice = ["unwise", "advice_open"];
  return (
    <section class="overall" aria-label={t("overall")}>
      <p class="overall-text" lang="en">
        {result.overall.text}
      </p>
      <ul class="counts">
        {counts
          .filter(({ word, count }) => count !== 0 || !advice.includes(word))
          .map(({ verdict, word, count }) => (
            <li key={word}>
              <VerdictShape verdict={verdict} />
              <span>
                <strong>{count}</strong> {t(word)}
              </span>
            </li>
          ))}
      </ul>
    </section>
  );
}

type CheckLineProps = { record: JobRecord; check: Check; photos: Photo[]; stale: boolean };

function CheckLine({ record, check, photos, stale }: CheckLineProps) {
  const [answering, setAnswering] = useState<string[]>([]);
  const shown = shownAs(check);
  const waits = { missing: check.missing, isSettled: shown === "meets" || shown === "does_not_apply" };
  // While a question is being answered the line keeps its form, even when the verdict no longer waits for it.
  const kept = useRef(waits);
  if (answering.length === 0) kept.current = waits;
  const { missing, isSettled } = kept.current;
  const others = check.questions.filter((path) => !missing.includes(path));
  const [opened, setOpened] = useState(false);
  const quick = (path: string) => (
    <QuickAnswer
      key={path}
      record={record}
      path={path}
      check={check}
      open={answering.includes(path)}
      onOpen={(open) =>
        setAnswering((before) => [...before.filter((item) => item !== path), ...(open ? [path] : [])])
      }
    />
  );
  // Where nothing is known but what is missing, the questions below say it.
  const labels = check.missing.map((path) => findQuestion(path)?.label);
  const isBare = check.missing.length !== 0 && check.reason === `Not known yet: ${labels.join("; ")}.`;
  const found = isBare && check.found === "not known" ? "" : check.found;
  const mine = photos.filter((photo) => photo.check === check.id).length;
  const body = (
    <>
      {check.verdict !== "does_not_apply" && (check.required || found) && (
        <dl class="facing">
          {check.required && (
            <div>
              <dt>{t("required")}</dt>
              <dd lang="en">{check.required}</dd>
            </div>
          )}
          {found && (
            <div>
              <dt>{t("found")}</dt>
              <dd lang="en">{found}</dd>
            </div>
          )}
        </dl>
      )}
      {check.reason && !isBare && (
        <p class="reason" lang="en">
          {check.reason}
        </p>
      )}
      {check.remedy && (
        <p class="remedy">
          <strong>{t("to_put_right")}</strong> <span lang="en">{check.remedy}</span>
        </p>
      )}
      {check.even_if.map((text) => (
        <p class="even-if" lang="en" key={text}>
          {text}
        </p>
      ))}
      {missing.length !== 0 && (
        <div class="missing">
          <h4 class="hidden">{t("would_settle")}</h4>
          {missing.map(quick)}
        </div>
      )}
    </>
  );
  const behind = (
    <div class="inside">
      <Citation section={check.section} confirmed={check.section_confirmed} />
      {check.editions_differ && <p lang="en">{check.editions_differ}</p>}
      <Steps steps={check.steps} />
      {others.length !== 0 && (
        <div class="missing">
          <h4 class="small">{t("looked_at")}</h4>
          {others.map(quick)}
        </div>
      )}
      <Photos job_id={record.id} check={check.id} title={check.title} photos={photos} />
    </div>
  );
  const heading = (
    <h3 tabIndex={-1} lang="en">
      {check.title}
    </h3>
  );
  const counted = mine !== 0 ? ` · ${t("photos_count", { count: mine })}` : "";
  const id = `check-${check.id}`;
  // What is settled takes one line until it is opened.
  if (isSettled)
    return (
      <li class={`check settled ${shown}`} id={id}>
        <details onToggle={(event) => setOpened(event.currentTarget.open)}>
          <summary>
            {heading}
            <span class="in-short">
              <Verdict verdict={check.verdict} severity={check.severity} stale={stale} />
              <span class="line" lang="en">
                {[check.section_confirmed && check.section, check.found].filter(Boolean).join(" · ")}
                {counted}
              </span>
            </span>
          </summary>
          {opened && (
            <>
              {body}
              {behind}
            </>
          )}
        </details>
      </li>
    );
  return (
    <li class={`check ${check.verdict} ${shown}`} id={id} data-open={isOpen(check) || undefined}>
      {heading}
      <Verdict verdict={check.verdict} severity={check.severity} stale={stale} />
      {body}
      <details class="more" onToggle={(event) => setOpened(event.currentTarget.open)}>
        <summary>
          {t("section_and_more")}
          {counted}
          <span class="hidden">: {check.title}</span>
        </summary>
        {opened && behind}
      </details>
    </li>
  );
}

type QuickAnswerProps = {
  record: JobRecord;
  path: string;
  check: Check;
  open: boolean;
  onOpen: (open: boolean) => void;
};

function QuickAnswer({ record, path, check, open, onOpen }: QuickAnswerProps) {
  const [error, setError] = useState<string | null>(null);
  const question = findQuestion(path);
  if (!question) return null;
  const value = answerOf(question, record.job);
  return (
    <details class="quick" open={open} onToggle={(event) => onOpen(event.currentTarget.open)}>
      <summary>
        <span lang={question.translations?.[language()] ? language() : "en"}>
          {inLanguage(question, "label", language())}
        </span>
        <strong class={value === null ? "open" : ""}>{value ?? t("not_known_yet")}</strong>
      </summary>
      {open && (
        <QuestionForm
          record={record}
          question={question}
          inline
          error={error}
          onError={setError}
          onAnswered={() => {
            onOpen(false);
            document
              .querySelector<HTMLElement>(`#check-${CSS.escape(check.id)} h3`)
              ?.focus({ preventScroll: true });
          }}
        />
      )}
    </details>
  );
}

type Spoken = { id: string; verdicts: { [check: string]: string }; clashes: string[] };

/** Says which verdicts and contradictions changed since the last result of the same job. */
function useSpokenChanges(id: string, result: Result | null): void {
  const [before, setBefore] = useState<Spoken | null>(null);
  // A result that an earlier version saved has none.
  const clashes = result?.contradictions ?? [];
  const ids = clashes.map((clash) => clash.id);
  const now = result ? JSON.stringify([ids, result.checks.map((check) => [check.id, check.verdict])]) : "";
  useEffect(() => {
    if (!result) return;
    if (before && before.id === id) {
      const changed = result.checks.filter((check) => before.verdicts[check.id] !== check.verdict);
      const said = [
        ...clashes
          .filter((clash) => !before.clashes.includes(clash.id))
          .map((clash) => `${t("contradiction")}: ${clash.why}`),
        ...(before.clashes.length !== 0 && ids.length === 0 ? [t("contradiction_settled")] : []),
        ...changed.map((check) => `${check.title}: ${t(shownAs(check))}.`),
      ];
      if (said.length !== 0) say(said.join(" "));
    }
    setBefore({
      id,
      verdicts: Object.fromEntries(result.checks.map((check) => [check.id, check.verdict])),
      clashes: ids,
    });
  }, [id, now]);
}
