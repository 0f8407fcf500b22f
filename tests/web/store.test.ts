// What the store says, writes and keeps in each case, one by one; store_property.test.ts mixes them.
import assert from "node:assert/strict";
import { test } from "node:test";
import { type Edit, replay, timeOf } from "../../web/jobs/edits";
import type { JobRecord } from "../../web/jobs/record";
import { Phone, ticks, type Tab } from "./tabs";

const DAY = 86_400_000;
const SILENCE = 10_000;

async function opened(phone: Phone): Promise<Tab> {
  const tab = phone.open();
  const opening = tab.store.openStore();
  await ticks(30);
  await Promise.race([opening, ticks(5)]);
  return tab;
}

async function begun(job: object = { format: "x" }): Promise<{ phone: Phone; tab: Tab; record: JobRecord }> {
  const phone = new Phone();
  const tab = await opened(phone);
  return { phone, tab, record: await tab.store.createJob({ ...job }, "line") };
}

/** What comes of work that may wait for the clock. */
async function within<T>(phone: Phone, milliseconds: number, work: Promise<T>): Promise<T | "open"> {
  await ticks(20);
  await phone.pass(milliseconds);
  return Promise.race([work, ticks(10).then(() => "open" as const)]);
}

async function shown(tab: Tab, id: string): Promise<JobRecord> {
  const found = await tab.store.getJob(id);
  assert.ok(found && "job" in found, "no job is shown");
  return found;
}

/** Puts a record into the store past all tabs. */
async function put(phone: Phone, record: object): Promise<void> {
  const open = await new Promise<any>((done) => {
    const asked = phone.factory.open("platepath");
    asked.onsuccess = () => done(asked.result);
  });
  open.transaction("jobs", "readwrite").objectStore("jobs").put(record);
  await ticks(10);
  open.close();
}

const plain: JobRecord = {
  id: "a",
  revision: 1,
  changed: 5,
  job: {},
  drafts: {},
  line: "",
  overall: null,
  signature: null,
  deleted: null,
};
const after = (...edits: Edit[]): JobRecord => edits.reduce((before, edit) => replay(before, edit, () => "said"), plain);

test("edits give the same record in whichever order and however often they are replayed", () => {
  const edits: Edit[] = [
    { at: 10, answers: { "a.b": 1, c: 2 } },
    { at: 11, drafts: { "a.b": "typed" } },
    { at: 12, answers: { "a.b": null } },
    { at: 13, signature: { name: "N", data_url: "", when: "2026-05-04" } },
    { at: 14, deleted: 14 },
    { at: 15, drafts: { c: "later" } },
  ];
  const content = ({ job, drafts, signature, deleted, stamps }: JobRecord) => ({ job, drafts, signature, deleted, stamps });
  const straight = content(after(...edits));
  assert.deepEqual(straight.job, { c: 2 });
  assert.deepEqual(straight.drafts, { c: "later" });
  assert.equal(straight.deleted, 14);
  assert.equal(straight.signature?.name, "N");
  assert.deepEqual(content(after(...[...edits].reverse())), straight);
  assert.deepEqual(content(after(...edits, ...edits)), straight);
});

test("a replay changes revision, line and day of change only with an answer, and only once", () => {
  const once = after({ at: 100, answers: { a: 1 } });
  assert.deepEqual([once.revision, once.changed, once.line], [100, 100, "said"]);
  assert.deepEqual(replay(once, { at: 100, answers: { a: 1 } }, () => "again"), once);
  const next = replay(once, { at: 50, answers: { b: 2 } }, () => "again");
  assert.deepEqual([next.revision, next.changed, next.line], [101, 100, "again"]);
  const typed = replay(once, { at: 300, drafts: { b: "x" }, signature: null }, () => "again");
  assert.deepEqual([typed.revision, typed.changed, typed.line], [100, 100, "said"]);
});

test("a record that was never edited gets no times of its own", () => {
  assert.equal(after({ at: 3 }).stamps, undefined);
  assert.deepEqual(after({ at: 3 }), plain);
});

test("an edit is later than all that its author saw of the same thing, with the clock set back too", () => {
  const seen = { ...plain, stamps: { a: 500, "@draft b": 700, "@signature": 900, "@deleted": 950 } };
  assert.equal(timeOf({ answers: { a: 1 } }, 100, [seen]), 501);
  assert.equal(timeOf({ drafts: { b: "" } }, 100, [seen]), 701);
  assert.equal(timeOf({ drafts: { a: "" } }, 100, [seen]), 501);
  assert.equal(timeOf({ signature: null }, 100, [seen]), 901);
  assert.equal(timeOf({ deleted: null }, 100, [seen]), 951);
  assert.equal(timeOf({ answers: { c: 1 } }, 100, [seen]), 100);
  assert.equal(timeOf({}, 100, [seen]), 100);
});

test("a draft typed after an answer given elsewhere stays, one from before it goes", () => {
  assert.deepEqual(after({ at: 5, drafts: { a: "x" } }, { at: 4, answers: { a: 1 } }).drafts, { a: "x" });
  assert.deepEqual(after({ at: 4, answers: { a: 1 } }, { at: 3, drafts: { a: "x" } }).drafts, {});
  const old = { ...plain, drafts: { a: "of an older version" } };
  assert.deepEqual(replay(old, { at: 1, answers: { a: 1 } }, () => "").drafts, {});
});

test("a result counts while the job lies outside the bin, and an older one never replaces a newer", () => {
  const overall = { verdict: "v", text: "t", revision: 4 };
  assert.deepEqual(after({ at: 1, overall }).overall, overall);
  assert.deepEqual(after({ at: 1, overall }, { at: 2, overall: { ...overall, revision: 3 } }).overall, overall);
  assert.deepEqual(after({ at: 1, overall }, { at: 2, overall: { ...overall, text: "u" } }).overall?.text, "u");
  assert.equal(after({ at: 1, deleted: 1 }, { at: 2, overall }).overall, null);
});

test("a job in another format is replaced only while it has that format", () => {
  const reformed = { from: "x/1", job: { format: "x/2", a: 1 } };
  const old = { ...plain, job: { format: "x/1" } };
  assert.deepEqual(replay(old, { at: 2, reformed }, () => "").job, reformed.job);
  const newer = { ...plain, job: { format: "x/2", a: 7 } };
  assert.deepEqual(replay(newer, { at: 2, reformed }, () => ""), newer);
});

test("every transaction that writes jobs or photos asks for the disk, not for the system's word", async () => {
  const { tab, record } = await begun();
  const { store } = tab;
  const photo = { id: "p", job_id: record.id, check: "", name: "", type: "", bytes: new ArrayBuffer(1) };
  await store.saveAnswer(record, "a", 1);
  await store.keepDraft(record, "b", "t");
  await store.keepResult(record, { id: record.id, revision: 1, engine: "", result: { overall: { verdict: "", text: "" } } });
  await store.addPhoto(photo);
  await store.removePhoto(photo);
  await store.importJobs([{ job: { a: 2 }, line: "" }]);
  await store.setDeleted(record, true);
  await store.eraseJob(record.id);
  const kept = tab.writes.filter(({ stores }) => stores.includes("jobs") || stores.includes("photos"));
  assert.equal(kept.length, 9);
  assert.deepEqual([...new Set(kept.map(({ durability }) => durability))], ["strict"]);
});

for (const refusal of ["at_once", "at_the_end"] as const)
  test(`what was refused ${refusal} is replayed on what the other tab has stored since`, async () => {
    const { phone, tab, record } = await begun();
    const other = await opened(phone);
    tab.refusal = refusal;
    const mine = await tab.store.saveAnswer(record, "a", 1);
    assert.equal(mine.job["a"], 1);
    assert.equal(tab.store.storageTrouble(), "full");
    assert.equal(tab.store.hasUnsaved(), true);
    assert.deepEqual(tab.store.unsavedJobs().map(({ record: { id }, paths }) => [id, paths]), [[record.id, ["a"]]]);
    await other.store.saveAnswer(await shown(other, record.id), "b", 2);
    await ticks(20);
    assert.deepEqual((await shown(tab, record.id)).job, { format: "x", a: 1, b: 2 });
    tab.refusal = "no";
    assert.equal(await tab.store.retryUnsaved(), true);
    assert.deepEqual((await phone.stored("jobs", record.id)).job, { format: "x", a: 1, b: 2 });
    assert.equal(tab.store.storageTrouble(), null);
    assert.deepEqual(tab.store.unsavedJobs(), []);
  });

test("of two answers to one question the later stays, though it was stored before the earlier was tried again", async () => {
  const { phone, tab, record } = await begun();
  const other = await opened(phone);
  const seen = await shown(other, record.id);
  tab.refusal = "at_once";
  phone.now += 1;
  await tab.store.saveAnswer(record, "a", "earlier");
  phone.now += 1;
  await other.store.saveAnswer(seen, "a", "later");
  tab.refusal = "no";
  await tab.store.retryUnsaved();
  assert.equal((await phone.stored("jobs", record.id)).job.a, "later");
  assert.equal((await shown(tab, record.id)).job["a"], "later");
});

test("after a silence the answers of both tabs are stored, the silent one's too", async () => {
  const { phone, tab, record } = await begun();
  const other = await opened(phone);
  phone.hangs = true;
  const answering = tab.store.saveAnswer(record, "a", 1);
  assert.equal(await within(phone, SILENCE - 1, answering), "open");
  assert.equal(tab.store.storageTrouble(), null);
  const told = await within(phone, 1, answering);
  assert.ok(told !== "open");
  assert.equal(told.job["a"], 1);
  assert.equal(tab.store.storageTrouble(), "silent");
  void other.store.saveAnswer(record, "b", 2);
  phone.goOn();
  await ticks(80);
  await phone.pass(1);
  assert.deepEqual((await phone.stored("jobs", record.id)).job, { format: "x", a: 1, b: 2 });
  assert.equal(tab.store.storageTrouble(), null);
});

test("a refused answer outlives its page, and is told apart from the answers of others", async () => {
  const { phone, tab, record } = await begun();
  tab.refusal = "at_once";
  await tab.store.saveAnswer(record, "a", 1);
  tab.die();
  const next = await opened(phone);
  assert.equal((await phone.stored("jobs", record.id)).job.a, undefined);
  const told: unknown[] = [];
  next.store.onJobChange((id) => told.push(id));
  await phone.pass(2_000);
  await ticks(40);
  assert.equal((await phone.stored("jobs", record.id)).job.a, 1);
  assert.ok(told.includes(record.id));
  assert.equal(phone.kept.size, 0);
});

test("the browser is asked to keep the data once unasked, and whenever the person wants it", async () => {
  const { phone, tab } = await begun();
  await tab.store.askPersistence(true);
  assert.equal(tab.asked, 1);
  const next = await opened(phone);
  await next.store.askPersistence(true);
  assert.equal(next.asked, 0);
  await next.store.askPersistence();
  assert.equal(next.asked, 1);
  assert.deepEqual(await next.store.storageState(), { used: 1, quota: 2, persisted: false });
});

test("what others keep in the small storage stands in no one's way and stays", async () => {
  const { phone, tab, record } = await begun();
  phone.kept.set("language", "es");
  tab.refusal = "at_once";
  await tab.store.saveAnswer(record, "a", 1);
  tab.die();
  await opened(phone);
  await phone.pass(2_000);
  await ticks(40);
  assert.equal((await phone.stored("jobs", record.id)).job.a, 1);
  assert.deepEqual([...phone.kept], [["language", "es"]]);
});

test("what is saved in time leaves nothing in the second place", async () => {
  const { phone, tab, record } = await begun();
  tab.refusal = "at_the_end";
  await tab.store.saveAnswer(record, "a", 1);
  assert.equal(phone.kept.size, 1);
  tab.refusal = "no";
  await tab.store.saveAnswer(record, "b", 2);
  assert.equal(phone.kept.size, 0);
  assert.deepEqual((await phone.stored("jobs", record.id)).job, { format: "x", a: 1, b: 2 });
});

test("refused edits are tried again by themselves", async () => {
  const { phone, tab, record } = await begun();
  tab.refusal = "at_once";
  await tab.store.saveAnswer(record, "a", 1);
  tab.refusal = "no";
  await phone.pass(63_000);
  await ticks(40);
  assert.equal((await phone.stored("jobs", record.id)).job.a, 1);
  assert.equal(tab.store.storageTrouble(), null);
});

test("only the newest text of a field waits, however long it is typed", async () => {
  const { phone, tab, record } = await begun();
  tab.refusal = "at_once";
  for (const text of ["1", "12", "123"]) await tab.store.keepDraft(record, "a", text);
  assert.equal(JSON.parse([...phone.kept.values()][0]!).edits.length, 1);
  tab.refusal = "no";
  await Promise.all(["4", "45", "456"].map((text) => tab.store.keepDraft(record, "a", text)));
  assert.deepEqual((await phone.stored("jobs", record.id)).drafts, { a: "456" });
  assert.ok(tab.writes.length < 9, "every letter is a transaction of its own");
});

test("a connection that is lost is opened again: nothing is said, nothing is missing", async () => {
  const { phone, tab, record } = await begun();
  await tab.store.saveAnswer(record, "a", 1);
  tab.breakOff();
  await ticks(20);
  assert.equal(tab.store.storageTrouble(), null);
  assert.equal((await shown(tab, record.id)).job["a"], 1);
  assert.equal((await tab.store.listJobs("", 9)).jobs.length, 1);
  assert.deepEqual((await tab.store.allJobs()).jobs, [{ format: "x", a: 1 }]);
  const answering = tab.store.saveAnswer(record, "b", 2);
  tab.breakOff();
  await answering;
  assert.equal(tab.store.storageTrouble(), null);
  assert.deepEqual((await phone.stored("jobs", record.id)).job, { format: "x", a: 1, b: 2 });
});

test("a connection that cannot be opened again is called lost; what is shown stays and the file is not empty", async () => {
  const { phone, tab, record } = await begun();
  await tab.store.saveAnswer(record, "a", 1);
  tab.isBlocked = true;
  tab.breakOff();
  await ticks(20);
  assert.equal(tab.store.storageTrouble(), "lost");
  assert.equal((await shown(tab, record.id)).job["a"], 1);
  assert.deepEqual(await tab.store.getJob("never seen"), { unread: true });
  assert.equal((await tab.store.listJobs("", 9)).jobs.length, 1);
  assert.deepEqual(await tab.store.allJobs(), { jobs: [{ format: "x", a: 1 }], isWhole: false });
  await assert.rejects(tab.store.photosOf(record.id));
  await tab.store.saveAnswer(record, "b", 2);
  assert.equal(tab.store.hasUnsaved(), true);
  tab.isBlocked = false;
  assert.equal(await tab.store.retryUnsaved(), true);
  assert.deepEqual((await phone.stored("jobs", record.id)).job, { format: "x", a: 1, b: 2 });
  assert.equal(tab.store.storageTrouble(), null);
});

test("without any storage from the start the trouble is another, and nothing is claimed of photos", async () => {
  const phone = new Phone();
  const tab = phone.open();
  tab.isBlocked = true;
  await tab.store.openStore();
  assert.equal(tab.store.storageTrouble(), "missing");
  const record = await tab.store.createJob({ a: 1 }, "");
  assert.deepEqual(await tab.store.photosOf(record.id), []);
  assert.deepEqual((await tab.store.importJobs([{ job: { b: 2 }, line: "" }])).fresh.length, 1);
  assert.equal((await tab.store.allJobs()).jobs.length, 2);
});

async function deleteUnder(phone: Phone): Promise<void> {
  const asked = phone.factory.deleteDatabase("platepath");
  await new Promise((done) => {
    asked.onsuccess = done;
  });
  await ticks(30);
}

test("a database deleted under the page is said, and what was shown can be put back with its photos", async () => {
  const { phone, tab, record } = await begun();
  const photo = { id: "p", job_id: record.id, check: "", name: "", type: "", bytes: new ArrayBuffer(3) };
  await tab.store.addPhoto(photo);
  const photos = await tab.store.photosOf(record.id);
  const heard: unknown[] = [];
  tab.store.onJobChange((id) => heard.push(id));
  await deleteUnder(phone);
  assert.equal(tab.store.storageTrouble(), "removed");
  assert.ok(heard.includes(null));
  assert.equal(tab.store.hasUnsaved(), true);
  assert.equal(tab.store.removedCount(), 1);
  assert.equal(photos.length, 1);
  assert.equal((await shown(tab, record.id)).id, record.id);
  assert.equal((await tab.store.listJobs("", 9)).jobs.length, 1);
  assert.deepEqual((await tab.store.allJobs()).jobs, [{ format: "x" }]);
  assert.equal((await tab.store.photosOf(record.id)).length, 1);
  assert.deepEqual(await phone.all("jobs"), []);
  await tab.store.settleRemoved(true);
  assert.equal((await phone.all("jobs")).length, 1);
  assert.equal((await phone.all("photos")).length, 1);
  assert.equal(tab.store.storageTrouble(), null);
});

test("what was deleted under the page on purpose is let go", async () => {
  const { phone, tab, record } = await begun();
  await deleteUnder(phone);
  await tab.store.settleRemoved(false);
  assert.equal(tab.store.storageTrouble(), null);
  assert.equal(tab.store.hasUnsaved(), false);
  assert.equal(await tab.store.getJob(record.id), null);
  assert.deepEqual(await phone.all("jobs"), []);
});

test("an answer after the deletion stores its job again, and no other", async () => {
  const { phone, tab, record } = await begun();
  await tab.store.createJob({ other: true }, "");
  await deleteUnder(phone);
  await tab.store.saveAnswer(record, "a", 1);
  assert.deepEqual((await phone.all("jobs")).map(({ job }) => job), [{ format: "x", a: 1 }]);
  assert.equal(tab.store.removedCount(), 1);
});

test("a newer version in another tab is told as such", async () => {
  const { phone, tab, record } = await begun();
  const asked = phone.factory.open("platepath", 2);
  await new Promise((done) => {
    asked.onsuccess = done;
  });
  await ticks(30);
  assert.equal(tab.store.storageTrouble(), "old_tab");
  await tab.store.saveAnswer(record, "a", 1);
  assert.equal(tab.store.storageTrouble(), "old_tab");
  assert.equal(tab.store.hasUnsaved(), true);
});

test("a job erased in another tab comes back only when a person asks for it", async () => {
  const { phone, tab, record } = await begun();
  const other = await opened(phone);
  const seen = await shown(other, record.id);
  await tab.store.eraseJob(record.id);
  assert.equal(await other.store.getJob(record.id), null);
  const result = { overall: { verdict: "v", text: "t" } };
  await other.store.keepResult(seen, { id: record.id, revision: seen.revision, engine: "", result });
  assert.deepEqual(await phone.all("jobs"), []);
  await other.store.setDeleted(seen, false);
  assert.equal((await phone.all("jobs")).length, 1);
});

test("an answer that waits with a result of its job brings the erased job back, the result alone does not", async () => {
  const { phone, tab, record } = await begun();
  const other = await opened(phone);
  const result = { overall: { verdict: "v", text: "t" } };
  tab.refusal = "at_once";
  const mine = await tab.store.saveAnswer(record, "a", 1);
  await tab.store.keepResult(mine, { id: record.id, revision: mine.revision, engine: "", result });
  await other.store.eraseJob(record.id);
  tab.refusal = "no";
  await tab.store.retryUnsaved();
  assert.deepEqual((await phone.all("jobs")).map(({ job }) => job.a), [1]);
});

test("an answer into a job that another tab has deleted is kept, and the tab is told that it is deleted", async () => {
  const { phone, tab, record } = await begun();
  const other = await opened(phone);
  const seen = await shown(other, record.id);
  const heard: unknown[] = [];
  other.store.onJobChange((id) => heard.push(id));
  await tab.store.setDeleted(record, true);
  await ticks(5);
  assert.deepEqual(heard, [record.id]);
  phone.now += 1;
  const told = await other.store.saveAnswer(seen, "a", 1);
  assert.ok(told.deleted);
  const back = await other.store.setDeleted(told, false);
  assert.deepEqual([back.deleted, back.job["a"]], [null, 1]);
});

test("erasing takes the photos, the result and what waits of the job, and of no other", async () => {
  const { phone, tab, record } = await begun();
  const other = await tab.store.createJob({ other: true }, "");
  for (const { id } of [record, other])
    await tab.store.addPhoto({ id: `p ${id}`, job_id: id, check: "", name: "", type: "", bytes: new ArrayBuffer(1) });
  await tab.store.keepResult(record, { id: record.id, revision: 1, engine: "", result: { overall: { verdict: "", text: "" } } });
  await tab.store.eraseJob(record.id);
  assert.deepEqual((await phone.all("jobs")).map(({ id }) => id), [other.id]);
  assert.deepEqual((await phone.all("photos")).map(({ job_id }) => job_id), [other.id]);
  assert.deepEqual(await phone.all("results"), []);
  assert.equal(await tab.store.getResult(record.id), null);
});

async function putInBin(phone: Phone, tab: Tab, count: number): Promise<void> {
  for (let n = 0; n < count; n += 1) {
    const record = await tab.store.createJob({ n }, "");
    if (n % 2 === 0) await tab.store.setDeleted(record, true);
  }
}

test("a clock set ahead for one day erases nothing", async () => {
  const phone = new Phone();
  const tab = await opened(phone);
  await putInBin(phone, tab, 4);
  const real = phone.now;
  for (const ahead of [45, 45, 0, 46, 0, 47, 0]) await tab.store.emptyBin(real + ahead * DAY);
  assert.equal((await phone.all("jobs")).length, 4);
});

test("what was deleted 30 days ago is erased once three days in a row have found it so, however many jobs there are", async () => {
  const phone = new Phone();
  const tab = await opened(phone);
  await putInBin(phone, tab, 402);
  const deleted = phone.now;
  await tab.store.emptyBin(deleted + 30 * DAY);
  for (const day of [31, 31, 31, 32]) await tab.store.emptyBin(deleted + day * DAY);
  assert.equal((await phone.all("jobs")).length, 402);
  await tab.store.emptyBin(deleted + 33 * DAY);
  const left = await phone.all("jobs");
  assert.equal(left.length, 201);
  assert.ok(left.every(({ deleted: when }) => when === null));
});

test("a job that was changed after a deletion by a wrong clock is not old", async () => {
  const { phone, tab, record } = await begun();
  const real = phone.now;
  phone.now = real - 3_000 * DAY;
  await tab.store.setDeleted(record, true);
  for (const day of [1, 2, 3, 4]) await tab.store.emptyBin(real + day * DAY);
  assert.equal((await phone.all("jobs")).length, 1);
});

test("a job brought back in another tab at the last moment is not erased", async () => {
  const { phone, tab, record } = await begun();
  await tab.store.eraseJob(record.id, true);
  assert.equal((await phone.all("jobs")).length, 1);
  await tab.store.setDeleted(record, true);
  await tab.store.eraseJob(record.id, true);
  assert.deepEqual(await phone.all("jobs"), []);
});

const many = (count: number) => Array.from({ length: count }, (_, n) => ({ job: { n, at: { b: 1, a: [n] } }, line: String(n) }));

test("many jobs are stored in one transaction, and the same ones again are known", async () => {
  const phone = new Phone();
  const tab = await opened(phone);
  await tab.store.noteImport("many.jsonl");
  assert.equal(tab.store.isImporting(), true);
  const told = await tab.store.importJobs(many(2_000));
  assert.equal(told.fresh.length, 2_000);
  assert.equal(tab.writes.filter(({ stores }) => stores.includes("jobs")).length, 1);
  assert.equal((await phone.all("jobs")).length, 2_000);
  assert.equal(tab.store.isImporting(), false);
  assert.equal((await tab.store.listJobs("", 1)).jobs[0]?.line, "1999");
  const turned = many(2_001).map(({ job: { n, at }, line }) => ({ job: { at: { a: at.a, b: at.b }, n }, line }));
  const again = await tab.store.importJobs(turned);
  assert.deepEqual([again.fresh.length, again.known.length], [1, 2_000]);
  assert.equal((await phone.all("jobs")).length, 2_001);
});

test("two jobs alike in one file are two jobs, and stay two", async () => {
  const phone = new Phone();
  const tab = await opened(phone);
  const twice = [{ job: { n: 1 }, line: "" }, { job: { n: 1 }, line: "" }];
  assert.equal((await tab.store.importJobs(twice)).fresh.length, 2);
  const again = await tab.store.importJobs(twice);
  assert.deepEqual([again.fresh.length, again.known.length], [0, 2]);
});

test("a job in the bin is not taken for one that is here", async () => {
  const { phone, tab, record } = await begun();
  await tab.store.setDeleted(record, true);
  assert.equal((await tab.store.importJobs([{ job: { format: "x" }, line: "" }])).fresh.length, 1);
  assert.equal((await phone.all("jobs")).length, 2);
});

for (const refusal of ["at_once", "at_the_end"] as const)
  test(`of many jobs refused ${refusal} none is stored, and the reason is told`, async () => {
    const phone = new Phone();
    const tab = await opened(phone);
    await tab.store.noteImport("many.jsonl");
    tab.refusal = refusal;
    await assert.rejects(tab.store.importJobs(many(5)));
    assert.equal(tab.store.storageTrouble(), "full");
    assert.deepEqual(await phone.all("jobs"), []);
  });

test("a file whose opening was cut short is named once to whoever starts the app next", async () => {
  const phone = new Phone();
  const tab = await opened(phone);
  await tab.store.noteImport("many.jsonl");
  const storing = tab.store.importJobs(many(50));
  storing.catch(() => undefined);
  await ticks(3);
  tab.die();
  const next = await opened(phone);
  assert.deepEqual(await phone.all("jobs"), []);
  assert.equal(await next.store.brokenImport(), "many.jsonl");
  assert.equal(await next.store.brokenImport(), null);
  assert.equal(await (await opened(phone)).store.brokenImport(), null);
});

test("a file that is stored is not called cut short", async () => {
  const phone = new Phone();
  const tab = await opened(phone);
  await tab.store.noteImport("many.jsonl");
  await tab.store.importJobs(many(3));
  assert.equal(await (await opened(phone)).store.brokenImport(), null);
});

test("a result is stored with its job, and not while the answers it is of are not", async () => {
  const { phone, tab, record } = await begun();
  const saved = (revision: number) => ({ id: record.id, revision, engine: "e", result: { overall: { verdict: "v", text: "t" } } });
  await tab.store.keepResult(record, saved(1));
  assert.equal((await phone.all("results"))[0]?.revision, 1);
  assert.deepEqual((await phone.stored("jobs", record.id)).overall, { verdict: "v", text: "t", revision: 1 });
  tab.refusal = "at_once";
  const mine = await tab.store.saveAnswer(record, "a", 1);
  tab.refusal = "no";
  await tab.store.keepResult(mine, saved(mine.revision));
  assert.equal((await phone.all("results"))[0]?.revision, 1);
  assert.equal((await tab.store.getResult(record.id))?.revision, mine.revision);
});

test("two tabs never give two states of a job the same revision", async () => {
  const { phone, tab, record } = await begun();
  const other = await opened(phone);
  const seen = await shown(other, record.id);
  tab.refusal = "at_once";
  phone.now += 1;
  const mine = await tab.store.saveAnswer(record, "a", 1);
  phone.now += 1;
  const theirs = await other.store.saveAnswer(seen, "b", 2);
  assert.notEqual(mine.revision, theirs.revision);
});

test("photos that were refused are shown, counted and stored later; a removal that was refused too", async () => {
  const { phone, tab, record } = await begun();
  const photo = { id: "p", job_id: record.id, check: "", name: "", type: "", bytes: new ArrayBuffer(1) };
  tab.refusal = "at_the_end";
  await tab.store.addPhoto(photo);
  assert.equal((await tab.store.photosOf(record.id)).length, 1);
  assert.deepEqual(tab.store.unsavedJobs().map(({ paths, photos }) => [paths, photos]), [[[], 1]]);
  tab.refusal = "no";
  await tab.store.retryUnsaved();
  assert.equal((await phone.all("photos")).length, 1);
  phone.hangs = true;
  const removing = tab.store.removePhoto(photo);
  await within(phone, SILENCE, removing);
  phone.goOn();
  await ticks(40);
  await phone.pass(1);
  assert.deepEqual(await tab.store.photosOf(record.id), []);
  assert.deepEqual(await phone.all("photos"), []);
  assert.equal(tab.store.hasUnsaved(), false);
});

for (const [refusal, told] of [
  ["at_once", "full"],
  ["broken", "failed"],
] as const)
  test(`a photo without room, told as ${told}, is tried again only when asked for; answers by themselves`, async () => {
    const { phone, tab, record } = await begun();
    const photo = { id: "p", job_id: record.id, check: "", name: "", type: "", bytes: new ArrayBuffer(1) };
    tab.refusal = refusal;
    await tab.store.addPhoto(photo);
    assert.equal(tab.store.storageTrouble(), told);
    await tab.store.saveAnswer(record, "a", 1);
    tab.refusal = "no";
    await phone.pass(63_000);
    await ticks(40);
    assert.equal((await phone.stored("jobs", record.id)).job.a, 1);
    assert.deepEqual(await phone.all("photos"), []);
    assert.equal(tab.store.hasUnsaved(), true);
    await tab.store.removePhoto(photo);
    assert.equal(tab.store.hasUnsaved(), false);
    tab.refusal = refusal;
    await tab.store.addPhoto(photo);
    tab.refusal = "no";
    assert.equal(await tab.store.retryUnsaved(), true);
    assert.equal((await phone.all("photos")).length, 1);
  });

test("a photo of which the removal still waits is not shown, the others are", async () => {
  const { phone, tab, record } = await begun();
  const photo = { id: "p", job_id: record.id, check: "", name: "", type: "", bytes: new ArrayBuffer(1) };
  await tab.store.addPhoto(photo);
  await tab.store.addPhoto({ ...photo, id: "q" });
  phone.hangs = true;
  const removing = tab.store.removePhoto(photo);
  // Nothing of the storage answers before the removal is on the disk.
  const looking = tab.store.photosOf(record.id);
  await ticks(5);
  phone.goOn();
  assert.deepEqual((await looking).map(({ id }) => id), ["q"]);
  await removing;
});

test("of what is not on the disk each part is told as what it is, and nothing that is still being stored", async () => {
  const { phone, tab, record } = await begun();
  const signed = { name: "A. Reader", data_url: "data:", when: "2026-05-04" };
  const told = (): unknown => tab.store.unsavedJobs().map(({ paths, signature, photos }) => [paths, signature, photos]);
  tab.refusal = "at_once";
  await tab.store.saveAnswer(record, "a", 1);
  assert.deepEqual(told(), [[["a"], false, 0]]);
  await tab.store.editJob(record, { signature: signed });
  assert.deepEqual(told(), [[["a"], true, 0]]);
  tab.refusal = "no";
  phone.hangs = true;
  const adding = tab.store.addPhoto({ id: "p", job_id: record.id, check: "", name: "", type: "", bytes: new ArrayBuffer(1) });
  await ticks(5);
  assert.deepEqual(told(), [[["a"], true, 0]]);
  phone.goOn();
  await adding;
});

test("a write that fails for another reason is not told as a full device", async () => {
  const { tab, record } = await begun();
  tab.refusal = "broken";
  await tab.store.saveAnswer(record, "a", 1);
  assert.equal(tab.store.storageTrouble(), "failed");
  assert.deepEqual(tab.store.unsavedJobs().map(({ paths }) => paths), [["a"]]);
});

test("photos are copied with their job", async () => {
  const { phone, tab, record } = await begun();
  await tab.store.addPhoto({ id: "p", job_id: record.id, check: "c", name: "", type: "", bytes: new ArrayBuffer(1) });
  await tab.store.copyPhotos(record.id, "copy");
  assert.deepEqual((await phone.all("photos")).map(({ job_id, check }) => [job_id, check]).sort(), [["copy", "c"], [record.id, "c"]].sort());
});

test("the list has the newest first, as many as asked for, and says whether there are more", async () => {
  const { phone, tab } = await begun({ name: "Alpha" });
  for (const name of ["Beta", "Gamma", "Beta two"]) {
    phone.now += 1;
    await tab.store.createJob({ name, place: "Hall" }, "oak");
  }
  const names = async (...values: Parameters<typeof tab.store.listJobs>) => {
    const { jobs, more } = await tab.store.listJobs(...values);
    return [jobs.map(({ job }) => job["name"]), more];
  };
  assert.deepEqual(await names("", 2), [["Beta two", "Gamma"], true]);
  assert.deepEqual(await names("", 4), [["Beta two", "Gamma", "Beta", "Alpha"], false]);
  assert.deepEqual(await names("hall BETA", 9), [["Beta two", "Beta"], false]);
  assert.deepEqual(await names("oak", 9), [["Beta two", "Gamma", "Beta"], false]);
  const { jobs } = await tab.store.listJobs("gamma", 9);
  await tab.store.setDeleted(jobs[0]!, true);
  assert.deepEqual(await names("gamma", 9), [[], false]);
  assert.deepEqual(await names("", 9, true), [["Gamma"], false]);
  assert.equal((await tab.store.allJobs()).jobs.length, 3);
});

test("a list that the storage does not give is told as such", async () => {
  const { phone, tab } = await begun();
  phone.hangs = true;
  await within(phone, SILENCE, tab.store.listJobs("", 9));
  assert.equal(tab.store.storageTrouble(), "silent");
});

test("what is not stored yet is in the list once, in its place and with its answers", async () => {
  const { phone, tab, record } = await begun({ name: "Alpha" });
  phone.now += 1;
  await tab.store.createJob({ name: "Beta" }, "");
  tab.refusal = "at_once";
  phone.now += 1;
  await tab.store.saveAnswer(record, "name", "Renamed");
  const { jobs, more } = await tab.store.listJobs("", 1);
  assert.deepEqual([jobs.map(({ job }) => job["name"]), more], [["Renamed"], true]);
  assert.equal((await tab.store.listJobs("", 9)).jobs.length, 2);
  assert.deepEqual((await tab.store.allJobs()).jobs.map(({ name }) => name).sort(), ["Beta", "Renamed"]);
});

test("a damaged record is found, shown as it is and never written over", async () => {
  const { phone, tab, record } = await begun();
  const damaged = { id: record.id, changed: 3, job: "half a reco" };
  await put(phone, damaged);
  assert.deepEqual(await tab.store.getJob(record.id), { damaged });
  assert.deepEqual(await tab.store.findDamaged(), [{ id: record.id, record: damaged }]);
  await tab.store.saveAnswer(record, "a", 1);
  assert.equal(tab.store.hasUnsaved(), true);
  assert.deepEqual(await phone.stored("jobs", record.id), damaged);
});

test("a record is damaged when any of its parts is, and only then", async () => {
  const { phone, tab } = await begun();
  const whole = { ...plain, id: "w" };
  const damages = [
    { revision: "1" }, { changed: undefined }, { drafts: null }, { drafts: "d" }, { job: null }, { job: [1] }, { job: 7 },
  ];
  await put(phone, whole);
  for (const [number, part] of damages.entries()) await put(phone, { ...whole, id: `${number}`, ...part });
  const found = await tab.store.findDamaged();
  assert.deepEqual(found.map(({ id }) => id).sort(), [...damages.keys()].map(String));
});

test("settings are kept, and those that cannot be stored for as long as the page lives", async () => {
  const { phone, tab } = await begun();
  await tab.store.setSetting("paper", "A4");
  const other = await opened(phone);
  assert.equal(await other.store.getSetting("paper", "Letter"), "A4");
  assert.equal(await other.store.getSetting("person", "nobody"), "nobody");
  other.refusal = "at_once";
  await other.store.setSetting("paper", "Letter");
  assert.equal(await other.store.getSetting("paper", ""), "Letter");
  assert.equal(other.store.storageTrouble(), "full");
});

test("a storage that does not open is waited for once, and written to when it does", async () => {
  const { phone, record } = await begun();
  phone.hangs = true;
  const late = phone.open();
  const open = phone.factory.open.bind(phone.factory);
  const asked: (() => void)[] = [];
  phone.factory.open = ((...values: Parameters<typeof open>) => {
    const request = open(...values) as any;
    const listen = request.addEventListener.bind(request);
    request.addEventListener = (type: string, call: (event: unknown) => void) =>
      listen(type, (event: unknown) => (call.name === "success" ? asked.push(() => call(event)) : call(event)));
    return request;
  }) as never;
  const opening = late.store.openStore();
  assert.equal(await within(phone, SILENCE - 1, opening), "open");
  assert.notEqual(await within(phone, 1, opening), "open");
  assert.equal(late.store.storageTrouble(), "silent");
  assert.deepEqual(await within(phone, 0, late.store.getJob(record.id)), { unread: true });
  const fresh = await within(phone, 0, late.store.createJob({ n: 1 }, ""));
  assert.ok(fresh !== "open");
  assert.equal(late.store.hasUnsaved(), true);
  phone.factory.open = open as never;
  phone.goOn();
  for (const call of asked) call();
  await ticks(60);
  assert.equal(late.store.storageTrouble(), null);
  assert.equal((await phone.all("jobs")).length, 2);
});

test("what waits is written as soon as the connection is back, without being asked", async () => {
  const { phone, tab, record } = await begun();
  tab.isBlocked = true;
  tab.breakOff();
  await ticks(20);
  await tab.store.saveAnswer(record, "a", 1);
  tab.isBlocked = false;
  await shown(tab, record.id);
  await ticks(40);
  assert.equal((await phone.stored("jobs", record.id)).job.a, 1);
  assert.equal(tab.store.storageTrouble(), null);
});

test("a photo that waits goes with its erased job", async () => {
  const { phone, tab, record } = await begun();
  tab.refusal = "at_once";
  await tab.store.addPhoto({ id: "p", job_id: record.id, check: "", name: "", type: "", bytes: new ArrayBuffer(1) });
  assert.equal(tab.store.hasUnsaved(), true);
  await tab.store.eraseJob(record.id);
  assert.equal(tab.store.hasUnsaved(), false);
  tab.refusal = "no";
  await tab.store.retryUnsaved();
  assert.deepEqual(await phone.all("photos"), []);
});

test("a photo removed while it is being stored does not come back", async () => {
  const { phone, tab, record } = await begun();
  const photo = { id: "p", job_id: record.id, check: "", name: "", type: "", bytes: new ArrayBuffer(1) };
  const adding = tab.store.addPhoto(photo);
  tab.refusal = "at_once";
  const removing = tab.store.removePhoto(photo);
  await adding;
  assert.deepEqual(await tab.store.photosOf(record.id), []);
  await removing;
  assert.deepEqual(await phone.all("photos"), []);
});

test("a list read while a job is being written holds that job once, and a file of all jobs never lacks it", async () => {
  for (let head = 0; head < 30; head += 1) {
    const { tab, record } = await begun({ format: "x", name: "one" });
    const others = [1, 2, 3].map((number) => tab.store.createJob({ format: "x", name: String(number) }, "line"));
    await Promise.all(others);
    const writing = tab.store.saveAnswer(record, "name", "new");
    await ticks(head);
    const listing = tab.store.listJobs("", 100);
    const file = tab.store.allJobs();
    await Promise.all([writing, listing, file]);
    const ids = (await listing).jobs.map(({ id }) => id);
    assert.equal(ids.filter((id) => id === record.id).length, 1, `listed after ${head} ticks`);
    assert.equal((await file).jobs.length, 4, `in the file after ${head} ticks`);
  }
});

const MEGABYTE = 1_000_000;

async function begunWithFiles(room: number): Promise<{ phone: Phone; tab: Tab; record: JobRecord }> {
  const phone = new Phone();
  phone.files = new Map();
  phone.room = room;
  const tab = await opened(phone);
  const record = await tab.store.createJob({ format: "x" }, "line");
  await ticks(20);
  return { phone, tab, record };
}

const pieces = (phone: Phone): number => [...(phone.files ?? [])].filter(([name]) => name.startsWith("reserve/")).length;

test("room is held in reserve from a quiet minute on, and given back to whatever finds none", async () => {
  const { phone, tab, record } = await begunWithFiles(20 * MEGABYTE);
  await phone.pass(50_000);
  assert.equal(pieces(phone), 0);
  await phone.pass(20_000);
  await ticks(300);
  assert.equal(pieces(phone), 16);
  assert.ok(phone.room < 16 * MEGABYTE);
  // No trial and no database of the reserve's own stays.
  assert.deepEqual((await phone.factory.databases()).map(({ name }) => name), ["platepath"]);
  assert.equal(phone.files?.size, 16);
  tab.refusal = "at_once";
  await tab.store.saveAnswer(record, "a", 1);
  await ticks(50);
  assert.equal(phone.room, 20 * MEGABYTE);
  assert.equal(tab.store.storageTrouble(), "full");
});

test("a reserve that does not fit takes nothing, and is not tried again and again", async () => {
  const { phone } = await begunWithFiles(3 * MEGABYTE);
  await phone.pass(70_000);
  await ticks(300);
  assert.equal(phone.room, 3 * MEGABYTE);
  assert.equal(phone.done.filter((what) => what === "remove reserve").length, 1);
  await phone.pass(300_000);
  assert.equal(phone.done.filter((what) => what === "remove reserve").length, 1);
});

test("no photo is tried where the room for answers would be taken, until there is room", async () => {
  const { phone, tab, record } = await begunWithFiles(3 * MEGABYTE);
  const photo = { id: "p", job_id: record.id, check: "", name: "", type: "", bytes: new ArrayBuffer(1) };
  const isTried = (): boolean => tab.writes.some(({ stores }) => stores.includes("photos"));
  await tab.store.addPhoto(photo);
  assert.equal(tab.store.storageTrouble(), "full");
  assert.equal((await tab.store.photosOf(record.id)).length, 1);
  await tab.store.retryUnsaved();
  assert.equal(isTried(), false);
  await tab.store.saveAnswer(record, "a", 1);
  assert.equal((await phone.stored("jobs", record.id)).job.a, 1);
  phone.room = 20 * MEGABYTE;
  assert.equal(await tab.store.retryUnsaved(), true);
  assert.equal(isTried(), true);
  assert.equal(pieces(phone), 16);
  assert.equal(tab.store.storageTrouble(), null);
});

test("after a write that may be cut short the log begins anew before anything else is written", async () => {
  const { phone, tab, record } = await begunWithFiles(20 * MEGABYTE);
  await phone.pass(70_000);
  await ticks(300);
  assert.equal(pieces(phone), 16);
  phone.room = 0;
  phone.done = [];
  const answering = tab.store.saveAnswer(record, "a", 1);
  tab.breakOff();
  await answering;
  assert.equal(tab.store.storageTrouble(), null);
  assert.equal((await phone.stored("jobs", record.id)).job.a, 1);
  const after = phone.done.slice(phone.done.indexOf("remove reserve"));
  const order = ["remove reserve", "remove trial", "open platepath", "delete platepath.scratch", "write jobs"];
  assert.deepEqual([...new Set(after.filter((what) => order.includes(what)))], order);
});

test("without room nothing is written behind what was cut short, by this page or the next", async () => {
  const { phone, tab, record } = await begunWithFiles(MEGABYTE / 2);
  tab.breakOff();
  await ticks(50);
  assert.equal(tab.store.storageTrouble(), "full");
  phone.done = [];
  await tab.store.saveAnswer(record, "a", 1);
  await tab.store.retryUnsaved();
  assert.equal(phone.done.some((what) => what.startsWith("write")), false);
  assert.equal(tab.store.hasUnsaved(), true);
  tab.die();
  const next = await opened(phone);
  await phone.pass(3_000);
  await ticks(50);
  assert.equal(next.store.storageTrouble(), "full");
  assert.equal(phone.done.some((what) => what.startsWith("write")), false);
  phone.room = 20 * MEGABYTE;
  assert.equal(await next.store.retryUnsaved(), true);
  assert.equal(next.store.storageTrouble(), null);
  assert.equal((await phone.stored("jobs", record.id)).job.a, 1);
  assert.ok(phone.done.includes("delete platepath.scratch"));
  assert.ok(phone.done.indexOf("delete platepath.scratch") < phone.done.findIndex((what) => what.startsWith("write")));
});

test("with the reserve in its place a start mends nothing", async () => {
  const { phone, tab, record } = await begunWithFiles(20 * MEGABYTE);
  await phone.pass(70_000);
  await ticks(300);
  tab.die();
  phone.done = [];
  const next = await opened(phone);
  await next.store.saveAnswer(await shown(next, record.id), "a", 1);
  assert.deepEqual(phone.done, ["open platepath", "write jobs"]);
  phone.files?.clear();
  next.die();
  phone.done = [];
  const last = await opened(phone);
  await last.store.saveAnswer(await shown(last, record.id), "a", 2);
  assert.deepEqual(
    phone.done.filter((what) => what !== "remove trial"),
    ["open platepath", "open platepath.scratch", "delete platepath.scratch", "write jobs"],
  );
});
