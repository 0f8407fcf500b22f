/** Why not everything is kept: what the storage said, and what is done about it at once. */
import { tell } from "./changes";

/** Why not everything is kept: see the words of the same names. */
export type StorageTrouble = "missing" | "full" | "failed" | "lost" | "removed" | "old_tab" | "silent";

/** What a browser says when the connection, not the request, is at fault. */
export const CONNECTION_FAULTS = ["InvalidStateError", "AbortError", "UnknownError"];

export let trouble: StorageTrouble | null = null;

export function storageTrouble(): StorageTrouble | null {
  return trouble;
}

export function setTrouble(next: StorageTrouble | null): void {
  if (trouble === next) return;
  trouble = next;
  tell(null);
}

/** Thrown when the storage does not answer. */
export class Silence extends Error {}

/** Thrown when there is no storage; the trouble says why. */
export class NotOpen extends Error {}

/** The name of what a browser throws; empty of anything else. */
export function nameOf(error: unknown): string {
  return error instanceof DOMException ? error.name : "";
}

/** Takes note of what the storage did not do, and gives it room where it may lack some. */
export function fail(error: unknown): void {
  if (error instanceof NotOpen) return;
  if (error instanceof Silence) setTrouble("silent");
  else if (nameOf(error) === "QuotaExceededError") setTrouble("full");
  else if (CONNECTION_FAULTS.includes(nameOf(error))) {
    setTrouble("lost");
    // A disk without room breaks the connection too.
    void reserve()
      .then(({ makeRoom }) => makeRoom())
      .then(
        (there) => there || trouble !== "lost" || setTrouble("full"),
        () => undefined,
      );
  } else setTrouble("failed");
  if (isShort())
    void reserve().then(
      ({ giveBack }) => giveBack(),
      () => undefined,
    );
}

/** Whether the trouble is, or may be, that the disk has no room. */
export function isShort(): boolean {
  return trouble === "full" || trouble === "failed";
}

/** Comes in when it is needed, which is not at the start. */
export function reserve(): Promise<typeof import("./reserve")> {
  return import("./reserve");
}

/** What the storage would say, for when it is known beforehand. */
export function noRoom(): DOMException {
  return new DOMException("no room on the disk", "QuotaExceededError");
}
