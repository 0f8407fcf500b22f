// Every part with its examples on one page, for the eye and for the accessibility checks.
import { render, type ComponentChildren } from "preact";
import { useState } from "preact/hooks";
import { Banners } from "../../web/parts/banners/banners";
import bannerExamples from "../../web/parts/banners/examples.json";
import { Citation } from "../../web/parts/citation/citation";
import citationExamples from "../../web/parts/citation/examples.json";
import { Compared } from "../../web/parts/compared/compared";
import comparedExamples from "../../web/parts/compared/examples.json";
import { Contradictions } from "../../web/parts/contradictions/contradictions";
import contradictionExamples from "../../web/parts/contradictions/examples.json";
import { ErrorSummary } from "../../web/parts/error_summary/error_summary";
import errorExamples from "../../web/parts/error_summary/examples.json";
import { JobNav } from "../../web/parts/job_nav/job_nav";
import navExamples from "../../web/parts/job_nav/examples.json";
import { JobTitle } from "../../web/parts/job_title/job_title";
import titleExamples from "../../web/parts/job_title/examples.json";
import { Photos } from "../../web/parts/photos/photos";
import photoExamples from "../../web/parts/photos/examples.json";
import { QuestionForm } from "../../web/parts/question_form/question_form";
import questionExamples from "../../web/parts/question_form/examples.json";
import { ResultTable } from "../../web/parts/result_table/result_table";
import tableExamples from "../../web/parts/result_table/examples.json";
import { ResultState } from "../../web/parts/result_state/result_state";
import stateExamples from "../../web/parts/result_state/examples.json";
import { Signature } from "../../web/parts/signature/signature";
import signatureExamples from "../../web/parts/signature/examples.json";
import { Steps } from "../../web/parts/steps/steps";
import stepExamples from "../../web/parts/steps/examples.json";
import { TogetherForm } from "../../web/parts/together_form/together_form";
import togetherExamples from "../../web/parts/together_form/examples.json";
import { Verdict } from "../../web/parts/verdict/verdict";
import verdictExamples from "../../web/parts/verdict/examples.json";
import type { JobRecord } from "../../web/jobs/record";
import { findQuestion, setQuestions } from "../../web/session/questions";
import type { Answers, Questions } from "../../web/wizard/questions";
import { togetherOf } from "../../web/wizard/walk";
import questions from "../../fixtures/other_domain/questions.json";

type Example = { part: string; name: string; shown: ComponentChildren };

function record(job: object, more: Partial<JobRecord> = {}): JobRecord {
  return {
    id: "example",
    revision: 1,
    changed: 0,
    job: job as Answers,
    drafts: {},
    line: "",
    overall: null,
    signature: null,
    deleted: null,
    ...more,
  };
}

setQuestions(questions as unknown as Questions);

const examples: Example[] = [
  ...verdictExamples.map(({ name, props }) => ({ part: "verdict", name, shown: <Verdict {...(props as never as { verdict: "meets" })} /> })),
  ...citationExamples.map(({ name, props }) => ({ part: "citation", name, shown: <Citation {...props} /> })),
  ...stepExamples.map(({ name, props }) => ({ part: "steps", name, shown: <Steps {...props} /> })),
  ...tableExamples.map(({ name, props }) => ({ part: "result_table", name, shown: <ResultTable {...props} /> })),
  ...comparedExamples.map(({ name, props }) => ({
    part: "compared",
    name,
    shown: <Compared {...(props as never as { lines: [] })} />,
  })),
  ...contradictionExamples.map(({ name, props }) => ({
    part: "contradictions",
    name,
    shown: <Contradictions {...(props as never as { job_id: string; found: []; here: "checklist" })} />,
  })),
  ...togetherExamples.map(({ name, id, job }) => ({
    part: "together_form",
    name,
    shown: (
      <TogetherForm
        record={record(job)}
        several={togetherOf(questions as unknown as Questions, id)!}
        onError={() => undefined}
        onAnswered={() => undefined}
      />
    ),
  })),
  ...errorExamples.map(({ name, props }) => ({ part: "error_summary", name, shown: <ErrorSummary {...props} /> })),
  ...navExamples.map(({ name, props }) => ({ part: "job_nav", name, shown: <JobNav {...props} /> })),
  ...titleExamples.map(({ name, job }) => ({ part: "job_title", name, shown: <JobTitle record={record(job)} here="limits" /> })),
  ...photoExamples.map(({ name, props }) => ({ part: "photos", name, shown: <Photos {...props} /> })),
  ...bannerExamples.map(({ name, props }) => ({
    part: "banners",
    name,
    shown: <Banners {...(props as never as { update: null; sawDownload: boolean })} onAccept={() => undefined} onLater={() => undefined} />,
  })),
  ...stateExamples.map(({ name, job, outcome }) => ({
    part: "result_state",
    name,
    shown: <ResultState record={record(job)} outcome={outcome as never} />,
  })),
  ...signatureExamples.map(({ name, signature }) => ({
    part: "signature",
    name,
    shown: <Signature record={record({}, { signature })} />,
  })),
  ...questionExamples.map((example) => ({
    part: "question_form",
    name: example.name,
    shown: (
      <QuestionForm
        record={record(example.job, { drafts: example.draft ? { [example.path]: example.draft } : {} })}
        question={findQuestion(example.path)!}
        inline={Boolean(example.inline)}
        error={example.error}
        onError={() => undefined}
        onAnswered={() => undefined}
      />
    ),
  })),
];

/** One example at a time: two on one page would have the same ids, which the app never has. */
function Gallery() {
  const [place, setPlace] = useState(0);
  (window as never as { show: (next: number) => void }).show = setPlace;
  const { part, name, shown } = examples[place]!;
  return (
    <main>
      {((part !== "question_form" && part !== "together_form") || name.includes("inside")) && <h1>{part}</h1>}
      <div key={place} data-part={part} data-name={name}>
        {shown}
      </div>
    </main>
  );
}

(window as never as { examples: string[] }).examples = examples.map(({ part, name }) => `${part}: ${name}`);
render(<Gallery />, document.getElementById("app")!);
