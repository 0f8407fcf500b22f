// Whatever two tabs, the storage and the battery do to each other: no answer is lost.
import assert from "node:assert/strict";
import { test } from "node:test";
import fc from "fast-check";
import { Phone, ticks, type Refusal, type Tab } from "./tabs";

const CASES = Math.max(2_000, Number(process.env["PLATEPATH_EXAMPLES"] ?? 0));
// The same cases every time, others in a long run.
const SEED = process.env["PLATEPATH_EXAMPLES"] ? Date.now() : 20_260_504;
const PATHS = ["name", "shelf.span", "shelf.material", "books.heaviest"];
const PHOTOS = ["one", "two"];
const DELETED = "@deleted";
const SILENCE = 11_000;

type Step =
  | { do: "answer" | "draft"; tab: number; path: string }
  | { do: "photo"; tab: number; id: string; gone: boolean }
  | { do: "delete"; tab: number; deleted: boolean }
  | { do: "refuse"; tab: number; how: Refusal }
  | { do: "deaf" | "hear" | "break" | "die" | "reload" | "block" | "unblock" | "retry"; tab: number }
  | { do: "hang" | "go_on" }
  | { do: "wait"; ticks: number }
  | { do: "pass"; milliseconds: number };

/** Something done to one thing of the job; its end is not known before the tab has said anything. */
type Deed = { thing: string; value: unknown; isDraft: boolean; tab: Tab; isTold: boolean };

const tab = fc.nat({ max: 1 });
const one = <Name extends Step["do"]>(...names: Name[]) => fc.record({ do: fc.constantFrom(...names), tab });
const step: fc.Arbitrary<Step> = fc.oneof(
  { weight: 8, arbitrary: fc.record({ do: fc.constant("answer"), tab, path: fc.constantFrom(...PATHS) }) },
  { weight: 2, arbitrary: fc.record({ do: fc.constant("draft"), tab, path: fc.constantFrom(...PATHS) }) },
  { weight: 2, arbitrary: fc.record({ do: fc.constant("photo"), tab, id: fc.constantFrom(...PHOTOS), gone: fc.boolean() }) },
  { weight: 1, arbitrary: fc.record({ do: fc.constant("delete"), tab, deleted: fc.boolean() }) },
  { weight: 4, arbitrary: fc.record({ do: fc.constant("refuse"), tab, how: fc.constantFrom("no", "at_once", "at_the_end") }) },
  { weight: 5, arbitrary: one("deaf", "hear", "break", "die", "reload", "block", "unblock", "retry") },
  { weight: 2, arbitrary: fc.record({ do: fc.constantFrom("hang", "go_on") }) },
  { weight: 4, arbitrary: fc.record({ do: fc.constant("wait"), ticks: fc.nat({ max: 12 }) }) },
  { weight: 4, arbitrary: fc.record({ do: fc.constant("pass"), milliseconds: fc.constantFrom(1, 3_000, SILENCE) }) },
) as fc.Arbitrary<Step>;

/** A person with two tabs: what was done, and what each tab shows. */
class Person {
  phone = new Phone();
  tabs: Tab[] = [];
  shown = new Map<Tab, any>();
  deeds: Deed[] = [];
  count = 0;
  id = "";

  async begin(): Promise<void> {
    const first = await this.opened();
    this.id = (await first.store.createJob({ format: "x" }, "")).id;
    this.tabs = [first, await this.opened()];
    await Promise.all(this.tabs.map((each) => this.look(each)));
  }

  async opened(): Promise<Tab> {
    const made = this.phone.open();
    made.store.onJobChange((id) => void (id === this.id || id === null ? this.look(made) : null));
    const opening = made.store.openStore();
    await ticks(30);
    void opening;
    return made;
  }

  /** The tab shows the job as the store gives it, as the screens do. */
  async look(tab: Tab): Promise<void> {
    if (!this.id) return;
    const found = await tab.store.getJob(this.id);
    if (found && "job" in found) this.shown.set(tab, found);
  }

  did(tab: Tab, thing: string, value: unknown, isDraft: boolean, work: Promise<unknown>): void {
    const deed: Deed = { thing, value, isDraft, tab, isTold: false };
    this.deeds.push(deed);
    void work.then(() => {
      // A photo that is refused lives only as long as its page.
      deed.isTold = tab.isAlive && !(thing.startsWith("photo") && tab.store.hasUnsaved());
    });
  }

  async take(step: Step): Promise<void> {
    this.phone.now += 1;
    if (step.do === "hang") this.phone.hangs = true;
    else if (step.do === "go_on") this.phone.goOn();
    else if (step.do === "wait") await ticks(step.ticks);
    else if (step.do === "pass") await this.phone.pass(step.milliseconds);
    else await this.inTab(step, this.tabs[step.tab]!);
  }

  async inTab(step: Extract<Step, { tab: number }>, tab: Tab): Promise<void> {
    const { store } = tab;
    if (step.do === "reload") {
      tab.die();
      this.tabs[step.tab] = await this.opened();
      await Promise.race([this.look(this.tabs[step.tab]!), ticks(30)]);
      return;
    }
    if (!tab.isAlive) return;
    const shown = this.shown.get(tab);
    this.count += 1;
    if (step.do === "die") tab.die();
    else if (step.do === "deaf") tab.isDeaf = true;
    else if (step.do === "hear") tab.hear();
    else if (step.do === "break") tab.breakOff();
    else if (step.do === "block" || step.do === "unblock") tab.isBlocked = step.do === "block";
    else if (step.do === "retry") void store.retryUnsaved();
    else if (step.do === "refuse") tab.refusal = step.how;
    else if (step.do === "photo") {
      // Only the tab that shows a photo can remove it.
      const id = `${step.tab} ${step.id}`;
      const photo = { id, job_id: this.id, check: "", name: "", type: "", bytes: new ArrayBuffer(2) };
      const work = step.gone ? store.removePhoto(photo) : store.addPhoto(photo);
      this.did(tab, `photo ${id}`, !step.gone, false, work);
    } else if (!shown) return;
    else if (step.do === "delete")
      this.did(tab, DELETED, step.deleted, false, store.setDeleted(shown, step.deleted).then((record) => this.shown.set(tab, record)));
    else if (step.do === "draft")
      this.did(tab, step.path, `typed ${this.count}`, true, store.keepDraft(shown, step.path, `typed ${this.count}`));
    else {
      const saved = store.saveAnswer(shown, step.path, this.count);
      this.did(tab, step.path, this.count, false, saved.then((record: unknown) => this.shown.set(tab, record)));
    }
  }

  /** Everything works again, and what was kept back is written. */
  async heal(): Promise<void> {
    this.phone.goOn();
    for (const each of this.phone.living()) {
      each.hear();
      each.refusal = "no";
      each.isBlocked = false;
    }
    await this.phone.pass(3 * SILENCE);
    for (const each of this.phone.living()) {
      void each.store.retryUnsaved();
      await this.phone.pass(SILENCE);
      assert.equal(each.store.hasUnsaved(), false, "a tab still holds what it could save");
      assert.equal(each.store.storageTrouble(), null);
    }
    const late = await this.opened();
    await this.phone.pass(SILENCE);
    assert.equal(late.store.hasUnsaved(), false);
  }

  /** What may be stored of a thing: the last that is sure, or one after it of which nobody was told. */
  allowed(deeds: Deed[]): Deed[] {
    const sure = deeds.findLastIndex((deed) => deed.tab.isAlive || deed.isTold);
    return deeds.slice(Math.max(sure, 0));
  }

  async look_for_all(): Promise<void> {
    const record = await this.phone.stored("jobs", this.id);
    assert.ok(record, "the job is gone");
    const photos = (await this.phone.all("photos")).map(({ id }) => id);
    const things = [...new Set(this.deeds.map((deed) => deed.thing))];
    for (const thing of things) {
      const deeds = this.deeds.filter((deed) => deed.thing === thing);
      const isSure = deeds.some((deed) => deed.tab.isAlive || deed.isTold);
      const allowed = this.allowed(deeds);
      const isThere = (deed: Deed): boolean => {
        if (thing === DELETED) return Boolean(record.deleted) === deed.value;
        if (thing.startsWith("photo ")) return photos.includes(thing.slice(6)) === deed.value;
        if (deed.isDraft) return record.drafts[thing] === deed.value;
        const value = thing.split(".").reduce((part: any, name) => part?.[name], record.job);
        return value === deed.value && record.drafts[thing] === undefined;
      };
      const words = JSON.stringify({ thing, allowed: allowed.map(({ value }) => value), job: record.job, drafts: record.drafts, photos, deleted: record.deleted });
      assert.ok(!isSure || allowed.some(isThere), `lost: ${words}`);
    }
    for (const each of this.phone.living()) {
      const shown = (await each.store.getJob(this.id)) as any;
      assert.deepEqual(shown.job, record.job, "a tab shows what is not stored");
    }
  }
}

test("no answer, draft, photo or deletion is lost, in whatever order two tabs, refusals, silences and deaths come", async () => {
  let cases = 0;
  const run = fc.asyncProperty(fc.array(step, { minLength: 2, maxLength: 24, size: "max" }), async (steps) => {
    cases += 1;
    const person = new Person();
    await person.begin();
    for (const each of steps) await person.take(each);
    await person.heal();
    await person.look_for_all();
  });
  const details = await fc.check(run, { numRuns: CASES, seed: SEED });
  assert.equal(details.failed, false, `${String(details.errorInstance)}\n${fc.defaultReportMessage(details)}`);
  assert.ok(cases >= 2_000);
});
