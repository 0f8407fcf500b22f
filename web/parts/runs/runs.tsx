import { saveAnswer } from "../../jobs/jobs";
import type { JobRecord } from "../../jobs/record";
import { offerUndo } from "../../session/notices";
import { questions } from "../../session/questions";
import { go } from "../../session/route";
import { holds } from "../../wizard/conditions";
import { read } from "../../wizard/paths";
import type { Question } from "../../wizard/questions";
import { pathInRun, questionsOfRun, runCount, runName, withOneMore, withoutRun } from "../../wizard/runs";
import { inLanguage } from "../../wizard/wording";
import { language, t } from "../../words/words";

/** The runs of a job: what is known of each, one more, and one less. */
export function Runs({ record }: { record: JobRecord }) {
  const runs = questions().further_runs;
  if (!runs) return null;
  const count = runCount(questions(), record.job);
  const home = `#/job/${record.id}`;
  const askedOf = (run: number): Question[] =>
    questionsOfRun(questions(), run).filter((question) => holds(question.when, record.job));
  const ask = (run: number): string => {
    const asked = askedOf(run);
    const open = asked.find((question) => read(record.job, question.path) === null) ?? asked[0];
    return `${home}/ask/${open?.path ?? pathInRun(runs, "", run)}`;
  };
  const known = (run: number): string => {
    const asked = askedOf(run);
    const answered = asked.filter((question) => read(record.job, question.path) !== null).length;
    return t("n_of_m", { n: answered, m: asked.length });
  };
  const add = async (): Promise<void> => {
    const after = await saveAnswer(record, runs.path, withOneMore(runs, record.job));
    const first = questionsOfRun(questions(), count).find((question) => holds(question.when, after.job));
    if (first) go(`${home}/ask/${first.path}`);
  };
  const remove = async (run: number): Promise<void> => {
    const before = read(record.job, runs.path);
    const after = await saveAnswer(record, runs.path, withoutRun(runs, record.job, run));
    offerUndo({
      text: t("run_removed", { run: runName(runs, run, language()) }),
      act: () => void saveAnswer(after, runs.path, before),
    });
  };
  return (
    <section class="runs">
      <h2>{inLanguage(runs, "title", language())}</h2>
      <p class="line">{inLanguage(runs, "text", language())}</p>
      {count > 1 && (
        <ul class="run-list">
          {Array.from({ length: count }, (_, run) => (
            <li key={run}>
              <p>
                <strong>{runName(runs, run, language())}</strong> <span class="line">{known(run)}</span>
              </p>
              <div class="row">
                <a class="button" href={ask(run)}>
                  {t("answer")}
                  <span class="hidden">: {runName(runs, run, language())}</span>
                </a>
                {run > 0 && (
                  <button type="button" class="quiet" onClick={() => void remove(run)}>
                    {t("remove_run")}
                    <span class="hidden">: {runName(runs, run, language())}</span>
                  </button>
                )}
              </div>
            </li>
          ))}
        </ul>
      )}
      {count <= runs.most ? (
        <button type="button" class="add" onClick={() => void add()}>
          {t("add_run")}
        </button>
      ) : (
        <p class="help">{t("most_runs", { count })}</p>
      )}
    </section>
  );
}
