/** What stands where in a job: dotted paths, in which a number names one of a list. */
import type { Answers } from "./questions";

/** The value at a dotted path; an absent branch reads as null, as in the engine. */
export function read(job: Answers, path: string): unknown {
  let here: unknown = job;
  for (const name of path.split(".")) {
    if (!isBranch(here)) return null;
    here = Object.hasOwn(here, name) && (!Array.isArray(here) || isIndex(name)) ? here[name] : null;
  }
  return here === undefined ? null : here;
}

/** Whether something has parts: a branch of a job, or a list of them. */
function isBranch(part: unknown): part is Answers {
  return typeof part === "object" && part !== null;
}

function isIndex(name: string): boolean {
  return /^\d$/.test(name);
}

/**
 * A copy of the job with one value changed; null removes it, because null and missing are the same. One of a list stays
 * there however little is known of it; what is said of one beyond its end makes the list longer.
 */
export function write(job: Answers, path: string, value: unknown): Answers {
  const [name, ...rest] = path.split(".") as [string, ...string[]];
  const copy: Answers = Object.fromEntries(Object.entries(job));
  if (rest.length === 0) {
    if (value === null) delete copy[name];
    else copy[name] = value;
    return copy;
  }
  const branch = Object.hasOwn(job, name) ? job[name] : null;
  if (isIndex(rest[0] ?? "")) {
    const [index, ...inner] = rest as [string, ...string[]];
    const list: Answers[] = Array.isArray(branch) ? [...branch] : [];
    if (inner.length === 0 || (value === null && Number(index) >= list.length)) return job;
    while (list.length <= Number(index)) list.push({});
    list[Number(index)] = write(list[Number(index)] ?? {}, inner.join("."), value);
    copy[name] = list;
    return copy;
  }
  const inner = isBranch(branch) && !Array.isArray(branch) ? branch : {};
  const changed = write(inner, rest.join("."), value);
  if (Object.keys(changed).length === 0) delete copy[name];
  else copy[name] = changed;
  return copy;
}
