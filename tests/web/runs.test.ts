import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { type Edit, replay } from "../../web/jobs/edits";
import type { JobRecord } from "../../web/jobs/record";
import { holds } from "../../web/wizard/conditions";
import { read, write } from "../../web/wizard/paths";
import type { Answers, Questions } from "../../web/wizard/questions";
import { questionAt, questionsOfRun, runCount, withOneMore, withoutRun } from "../../web/wizard/runs";
import { shownQuestions } from "../../web/wizard/walk";

const fixtures = process.env["FIXTURES"] ?? "";
const shelves = JSON.parse(readFileSync(`${fixtures}/other_domain/questions.json`, "utf8")) as Questions;
// Of another field: more shelves on the same wall, each with a span and a thickness of its own.
const path = "wall.more_shelves";
const runs = {
  name: "Shelf",
  title: "Shelves",
  text: "",
  most: 5,
  path,
  places: Object.fromEntries(
    shelves.questions
      .filter((question) => question.path.startsWith("shelf."))
      .map((question) => [question.path, question.path.slice("shelf.".length)]),
  ),
  questions: [],
  translations: { es: { name: "Estante", title: "Estantes", text: "" } },
};
const questions: Questions = { ...shelves, further_runs: runs };

const job = (more: unknown[]): Answers => ({ purpose: "inspection", wall: { more_shelves: more } });

test("a number in a path names one of a list", () => {
  assert.equal(read(job([{}, { span: 3 }]), `${path}.1.span`), 3);
  assert.equal(read(job([{}]), `${path}.1.span`), null);
  assert.equal(read(job([{}]), `${path}.length`), null);
  assert.deepEqual(write(job([{ span: 3 }]), `${path}.0.span`, null), job([{}]));
  assert.deepEqual(write(job([]), `${path}.1.span`, 4), job([{}, { span: 4 }]));
  assert.deepEqual(write(job([{}]), `${path}.3.span`, null), job([{}]));
});

test("one more is empty, one less leaves the others, and the last one leaves no list", () => {
  assert.deepEqual(withOneMore(runs, job([{ span: 3 }])), [{ span: 3 }, {}]);
  assert.deepEqual(withoutRun(runs, job([{ span: 3 }, { span: 4 }]), 1), [{ span: 4 }]);
  assert.equal(withoutRun(runs, job([{ span: 3 }]), 1), null);
  assert.equal(runCount(questions, job([{}, {}])), 3);
  assert.equal(runCount(shelves, job([{}])), 1);
});

test("each is asked the same, under its name, one after the other", () => {
  const asked = shownQuestions(questions, job([{}, {}]));
  const second = asked.findIndex((question) => question.path.startsWith(`${path}.0.`));
  const third = asked.findIndex((question) => question.path.startsWith(`${path}.1.`));
  assert.ok(second > 0 && third > second);
  assert.ok(asked.slice(third).every((question) => question.path.startsWith(`${path}.1.`)));
  const question = questionAt(questions, `${path}.0.span`);
  assert.ok(question?.label.startsWith("Shelf 2 · "));
  assert.ok(question?.ask.startsWith("Shelf 2 · "));
  assert.equal(questionAt(questions, `${path}.0.no_such`), null);
  assert.equal(questionAt(shelves, `${path}.0.span`), null);
  assert.ok(asked.find((each) => each.path === "shelf.span")?.label.startsWith("Shelf 1 · "));
});

test("a condition looks at the facts of the same one", () => {
  const when = { path: "shelf.span", is: 3 };
  const asking = {
    ...questions,
    questions: questions.questions.map((question) =>
      question.path === "shelf.thickness" ? { ...question, when } : question,
    ),
  } as Questions;
  const mine = questionsOfRun(asking, 1).find((question) => question.path === `${path}.0.thickness`);
  assert.equal(holds(mine?.when, job([{ span: 3 }])), true);
  assert.equal(holds(mine?.when, { ...job([{}]), shelf: { span: 3 } }), false);
});

const blank: JobRecord = {
  id: "a",
  revision: 1,
  changed: 1,
  job: job([{ span: 1 }]),
  drafts: {},
  line: "",
  overall: null,
  signature: null,
  deleted: null,
};

function all<Item>(items: Item[]): Item[][] {
  if (items.length < 2) return [items];
  return items.flatMap((item, at) =>
    all(items.filter((_, other) => other !== at)).map((rest) => [item, ...rest]),
  );
}

test("edits of a list and of what is in it end alike in whichever order they are replayed", () => {
  const edits: Edit[] = [
    { at: 10, answers: { [`${path}.0.span`]: 2 } },
    { at: 20, answers: { [path]: [{ span: 2 }, {}] } },
    { at: 30, answers: { [`${path}.1.span`]: 5 } },
    { at: 40, answers: { [`${path}.0.thickness`]: "12" } },
  ];
  for (const chosen of [edits, [...edits, { at: 35, answers: { [path]: null } } as Edit]]) {
    const ends = all(chosen).map(
      (order) => order.reduce((record, edit) => replay(record, edit, () => ""), blank).job,
    );
    for (const end of ends) assert.deepEqual(end, ends[0]);
  }
});
