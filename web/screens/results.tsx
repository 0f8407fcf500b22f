import type { JobRecord } from "../jobs/record";
import { Citation } from "../parts/citation/citation";
import { Compared } from "../parts/compared/compared";
import { Contradictions } from "../parts/contradictions/contradictions";
import { JobNav } from "../parts/job_nav/job_nav";
import { JobTitle } from "../parts/job_title/job_title";
import { Page } from "../parts/page/page";
import { ResultState } from "../parts/result_state/result_state";
import { ResultTable } from "../parts/result_table/result_table";
import { Steps } from "../parts/steps/steps";
import { type Result, type ShownValue, useOutcome } from "../session/engine";
import { jobName } from "../session/jobs";
import { questions } from "../session/questions";
import { firstOpen, purposeOf } from "../wizard/walk";
import { inLanguage } from "../wizard/wording";
import { language, t } from "../words/words";

/** The limits that follow from what is known, to compare with what is there. */
export function Results({ record }: { record: JobRecord }) {
  const outcome = useOutcome(record);
  const name = jobName(record.job) || t("unnamed_job");
  const home = `#/job/${record.id}`;
  const open = firstOpen(questions(), record.job);
  const result = outcome.result;
  const values = result ? Object.entries(result.values) : [];
  // What the visit is for comes first; the rest is there, folded.
  const purpose = purposeOf(questions(), record.job);
  const groups = (result ? resultGroups(result) : [])
    .map((group) => ({ ...group, values: values.filter(([, value]) => value.group === group.id) }))
    .filter((group) => group.values.length !== 0);
  const isMine = (group: { id: string }): boolean => purpose?.groups.includes(group.id) ?? true;
  const mine = groups.filter(isMine);
  const others = groups.filter((group) => !isMine(group));
  // A result that an earlier version saved has neither.
  const tables = result?.sheet ?? [];
  const nameplates = result?.nameplates ?? [];
  const compared = nameplates.filter((line) => line.change !== "not_known");
  const notYet = nameplates.filter((line) => line.change === "not_known");
  // Said where the first such figure stands.
  const inTables = tables.some((table) => table.rows.some((row) => row.assumed));
  const explained = <p class="help">{t("assumed_explained")}</p>;
  const Title = tables.length === 0 ? "h2" : "h3";
  return (
    <Page
      title={t("nav_limits")}
      windowTitle={`${t("nav_limits")} – ${name}`}
      back={{ href: "#/", label: t("jobs") }}
    >
      <JobTitle record={record} here="limits" />
      <JobNav id={record.id} here="limits" />
      <p class="line" lang="en">
        {record.line}
        {result?.edition ? ` · ${t("edition_of", { edition: result.edition })}` : ""}
      </p>
      <ResultState record={record} outcome={outcome} />
      <Contradictions job_id={record.id} found={result?.contradictions} here="limits" />
      {nameplates.length !== 0 && (
        <section class="sheet">
          <h2>{t("old_and_new")}</h2>
          {compared.length !== 0 && <Compared lines={compared} />}
          {notYet.length !== 0 && (
            <details class="more">
              <summary>{t("not_compared_yet", { count: notYet.length })}</summary>
              <Compared lines={notYet} />
            </details>
          )}
        </section>
      )}
      {tables.length !== 0 && (
        <section class="sheet">
          <h2>{t("sheet")}</h2>
          {tables.map((table) => (
            <ResultTable key={table.id} table={table} />
          ))}
        </section>
      )}
      {inTables && explained}
      {tables.length !== 0 && <h2 class="part">{t("each_limit")}</h2>}
      {!inTables && values.some(([, value]) => value.assumed) && explained}
      {mine.map((group) => (
        <section key={group.id}>
          <Title>{group.title}</Title>
          <ValueList values={group.values} />
        </section>
      ))}
      {others.length !== 0 && (
        <details class="more">
          <summary>{t("other_limits")}</summary>
          {others.map((group) => (
            <section key={group.id}>
              <Title>{group.title}</Title>
              <ValueList values={group.values} />
            </section>
          ))}
        </details>
      )}
      <div class="go-on">
        {open && (
          <a class="button main" href={`${home}/ask/${open}`}>
            {t("go_on_asking")}
          </a>
        )}
        <a class={open ? "button" : "button main"} href={`${home}/checklist`}>
          {t("to_checklist")}
        </a>
      </div>
    </Page>
  );
}

/** The groups of a result in walking order, with one nameless place for what has none. */
export function resultGroups(result: Result): { id: string; title: string; text: string }[] {
  const named = result.groups;
  const titled = named.map((group) => {
    const known = questions().groups.find((item) => item.id === group.id);
    return {
      id: group.id,
      title: known ? inLanguage(known, "title", language()) : group.title,
      text: known ? inLanguage(known, "text", language()) : "",
    };
  });
  const used = [
    ...result.checks.map((check) => check.group),
    ...Object.values(result.values).map((value) => value.group),
  ];
  const rest = [...new Set(used)].filter((id) => !titled.some((group) => group.id === id));
  return [...titled, ...rest.map((id) => ({ id, title: t("other_group"), text: "" }))];
}

function ValueList({ values }: { values: [string, ShownValue][] }) {
  return (
    <ul class="values">
      {values.map(([id, value]) => (
        <ValueRow key={id} value={value} />
      ))}
    </ul>
  );
}

function ValueRow({ value }: { value: ShownValue }) {
  return (
    <li>
      <details class="value">
        <summary>
          <span class="value-title" lang="en">
            {value.title}
          </span>
          <span class={value.assumed ? "value-shown assumed" : "value-shown"} lang="en">
            {value.shown}
          </span>
          <span class="value-more">
            {value.assumed && <span class="assumption">{t("on_assumption")}</span>}
            {value.section && (
              <span lang="en">
                {value.section}
                {value.section_confirmed === false ? ` · ${t("section_not_confirmed")}` : ""}
              </span>
            )}
          </span>
        </summary>
        <div class="inside">
          <p class="small-title">{t("how_worked_out")}</p>
          <Steps steps={value.steps} />
          <Citation section={value.section} confirmed={value.section_confirmed} />
        </div>
      </details>
    </li>
  );
}
