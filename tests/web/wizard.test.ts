import assert from "node:assert/strict";
import { readFileSync } from "node:fs";
import { test } from "node:test";
import { holds, shownChoices } from "../../web/wizard/conditions";
import { parseNumber } from "../../web/wizard/numbers";
import { read, write } from "../../web/wizard/paths";
import type { Answers, Condition, Questions } from "../../web/wizard/questions";
import { sameKind } from "../../web/wizard/same_kind";
import { firstOpen, groupsOf, leadPlace, pageAfter, pageBefore, requiredOpen, shownQuestions } from "../../web/wizard/walk";
import { answerWords, jobLine } from "../../web/wizard/wording";

const fixtures = process.env["FIXTURES"] ?? "";
const questions = JSON.parse(readFileSync(`${fixtures}/other_domain/questions.json`, "utf8")) as Questions;
const cases = JSON.parse(readFileSync(`${fixtures}/conditions.json`, "utf8")) as {
  when: Condition | null;
  job: Answers;
  shown: boolean;
}[];
const words = { yes: "Yes", no: "No", none: "none" };

test("every case of the conditions file is decided as the file says", () => {
  for (const { when, job, shown } of cases)
    assert.equal(holds(when, job), shown, `${JSON.stringify(when)} over ${JSON.stringify(job)}`);
});

test("a value is read through missing, null and foreign branches as unknown", () => {
  for (const job of [{}, { a: null }, { a: 3 }, { a: [1] }, { a: { b: null } }] as Answers[])
    assert.equal(read(job, "a.b"), null);
  assert.equal(read({ a: { b: false } }, "a.b"), false);
  assert.equal(read({}, "constructor.name"), null);
});

test("writing makes a copy, makes branches, and removes what becomes unknown", () => {
  const job: Answers = { a: { b: 1, c: 2 }, d: 3 };
  assert.deepEqual(write(job, "a.b", 5), { a: { b: 5, c: 2 }, d: 3 });
  assert.deepEqual(job, { a: { b: 1, c: 2 }, d: 3 });
  assert.deepEqual(write({}, "x.y.z", []), { x: { y: { z: [] } } });
  assert.deepEqual(write({ x: { y: { z: 1 } } }, "x.y.z", null), {});
});

test("a name that every object has is written as a plain key", () => {
  const job = write({}, "readings.constructor", 4);
  assert.equal(read(job, "readings.constructor"), 4);
});

test("numbers are read with spaces, thousands commas and decimal commas, and nothing else", () => {
  const numbers = JSON.parse(readFileSync(`${fixtures}/numbers.json`, "utf8")) as [string, number | null][];
  for (const [text, number] of numbers) assert.equal(parseNumber(text), number, text);
  assert.ok(numbers.length > 20);
});

test("leading questions come first, results follow the last of them, the checklist follows the last of all", () => {
  const job: Answers = { purpose: "inspection" };
  const paths = shownQuestions(questions, job).map((question) => question.path);
  assert.deepEqual(paths.slice(0, 3), ["shelf.span", "shelf.material", "shelf.thickness"]);
  assert.deepEqual(pageAfter(questions, job, "shelf.span"), { kind: "question", path: "shelf.material" });
  assert.deepEqual(pageAfter(questions, job, "shelf.material"), { kind: "results" });
  assert.deepEqual(pageAfter(questions, job, "remarks"), { kind: "checklist" });
  assert.equal(pageBefore(questions, job, "shelf.span"), null);
  assert.equal(pageBefore(questions, job, "shelf.thickness"), "shelf.material");
});

test("a purpose shows its own groups and questions only", () => {
  const paths = shownQuestions(questions, { purpose: "moving" }).map((question) => question.path);
  assert.deepEqual(paths, ["shelf.span", "shelf.material", "shelf.thickness", "wall.fixings"]);
});

test("a question appears with the answer it waits for, and its own answer outlives its hiding", () => {
  const with_face: Answers = { purpose: "inspection", shelf: { material: "chipboard", face_whole: true } };
  assert.ok(shownQuestions(questions, with_face).some((question) => question.path === "shelf.face_whole"));
  const changed = write(with_face, "shelf.material", "oak");
  assert.ok(!shownQuestions(questions, changed).some((question) => question.path === "shelf.face_whole"));
  assert.equal(read(changed, "shelf.face_whole"), true);
});

test("open and required questions are found", () => {
  const job: Answers = { purpose: "inspection", shelf: { span: 3 } };
  assert.equal(firstOpen(questions, job), "shelf.material");
  assert.deepEqual(requiredOpen(questions, job).map((question) => question.path), ["shelf.material"]);
  assert.equal(firstOpen(questions, write(job, "shelf.material", "oak")), "shelf.thickness");
});

test("answers are said with their label, their unit, in the reader's language", () => {
  const span = questions.questions.find((question) => question.path === "shelf.span")!;
  const fixings = questions.questions.find((question) => question.path === "wall.fixings")!;
  assert.equal(answerWords(span, null, "en", words), null);
  assert.equal(answerWords(fixings, [], "en", words), "none");
  assert.equal(answerWords(fixings, ["screw", "nail"], "en", words), "Wood screws, Nails");
  assert.equal(answerWords({ ...span, choices: [] }, 6, "en", words), "6 ft");
  assert.equal(answerWords({ ...span, kind: "yes_no", choices: [], unit: null }, false, "en", words), "No");
});

test("a job's line says what nothing can be worked out without, in the order of the questions", () => {
  assert.equal(jobLine(questions, { shelf: { span: 6, material: "oak" } }, "en", words), "6 ft · Oak");
});

test("the next of the same kind carries the first group, never what was found elsewhere", () => {
  const job: Answers = {
    format: "platepath.job/1",
    name: "A",
    place: "Hall",
    purpose: "inspection",
    shelf: { span: 3, material: "oak", thickness: "12" },
    wall: { fixings: ["screw"] },
  };
  assert.deepEqual(sameKind(questions, job), {
    format: "platepath.job/1",
    place: "Hall",
    purpose: "inspection",
    shelf: { span: 3, material: "oak", thickness: "12" },
  });
});

test("a choice waits for the answer it goes with", () => {
  const thickness = questions.questions.find((question) => question.path === "shelf.thickness")!;
  const offered = (job: Answers) => shownChoices(thickness, job).map((choice) => choice.value);
  assert.ok(!offered({ shelf: { material: "oak" } }).includes("8"));
  assert.ok(offered({ shelf: { material: "chipboard" } }).includes("8"));
});

test("the leading questions are counted, the others are not", () => {
  const job: Answers = { purpose: "inspection" };
  assert.deepEqual(leadPlace(questions, job, "shelf.material"), { n: 2, m: 2 });
  assert.equal(leadPlace(questions, job, "shelf.thickness"), null);
});

const together = {
  ...questions,
  purposes: questions.purposes.map((purpose) => ({ ...purpose, first: ["board", "shelf.thickness"] })),
} as Questions;

test("questions asked together are one screen, before the others and counted once", () => {
  const job: Answers = { purpose: "inspection" };
  assert.equal(firstOpen(together, job), "board");
  assert.deepEqual(leadPlace(together, job, "board"), { n: 1, m: 2 });
  assert.deepEqual(pageAfter(together, job, "board"), { kind: "question", path: "shelf.thickness" });
  assert.deepEqual(pageAfter(together, job, "shelf.thickness"), { kind: "results" });
  assert.equal(pageBefore(together, job, "shelf.thickness"), "board");
  const paths = shownQuestions(together, job).map((question) => question.path);
  assert.deepEqual(paths.slice(0, 3), ["shelf.span", "shelf.material", "shelf.thickness"]);
  assert.equal(new Set(paths).size, paths.length);
});

test("of questions asked together the one left open is asked alone, and then what follows", () => {
  const job: Answers = { purpose: "inspection", shelf: { span: 4 } };
  assert.equal(firstOpen(together, job), "shelf.material");
  assert.deepEqual(pageAfter(together, job, "shelf.span"), { kind: "question", path: "shelf.material" });
  assert.deepEqual(pageAfter(together, job, "shelf.material"), { kind: "question", path: "shelf.thickness" });
  assert.equal(firstOpen(together, write(job, "shelf.material", "oak")), "shelf.thickness");
});

test("after one asked alone, a leading question that has its answer is not asked again", () => {
  const job: Answers = { purpose: "inspection", shelf: { span: 4, thickness: "12" } };
  const after = pageAfter(together, job, "shelf.material");
  assert.ok(after.kind === "question" && after.path !== "shelf.thickness");
  assert.deepEqual(pageAfter(together, job, "board"), { kind: "question", path: "shelf.thickness" });
});

test("questions asked together that lead no purpose are one screen of the walk", () => {
  const walked = {
    ...questions,
    purposes: questions.purposes.map((purpose) => ({ ...purpose, first: ["shelf.thickness"] })),
  } as Questions;
  const job: Answers = { purpose: "inspection", shelf: { thickness: "12" } };
  assert.equal(firstOpen(walked, job), "board");
  assert.equal(leadPlace(walked, job, "board"), null);
  assert.equal(pageBefore(walked, job, "board"), "shelf.thickness");
  const after = pageAfter(walked, job, "board");
  assert.ok(after.kind === "question" && !["shelf.span", "shelf.material"].includes(after.path));
  assert.deepEqual(pageAfter(walked, job, "shelf.span"), { kind: "question", path: "shelf.material" });
});

test("a purpose walks its groups in its own order", () => {
  const turned = {
    ...questions,
    purposes: questions.purposes.map((purpose) => ({ ...purpose, groups: [...purpose.groups].reverse() })),
  } as Questions;
  const groups = groupsOf(turned, { purpose: "inspection" }).map((group) => group.id);
  assert.deepEqual(groups, groupsOf(questions, { purpose: "inspection" }).map((group) => group.id).reverse());
});
