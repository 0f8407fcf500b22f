/** Where refused edits lie until they are stored: the browser's small storage. */
import { newId } from "./record";
import type { Waiting } from "./unsaved";

export const SECOND_PLACE = "platepath.unsaved.";

/** This tab, among those that keep edits there. */
export const tab = newId();

/** Refused edits lie in the browser's small storage too, where it takes them: a page that is closed does not lose them. */
export function keepInSecondPlace(id: string, { base, edits }: Waiting): void {
  try {
    localStorage.setItem(`${SECOND_PLACE}${id}.${tab}`, JSON.stringify({ base, edits }));
  } catch {
    return;
  }
}

export function forgetSecondPlace(id: string): void {
  try {
    localStorage.removeItem(`${SECOND_PLACE}${id}.${tab}`);
  } catch {
    return;
  }
}
