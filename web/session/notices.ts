/** What is said above the page: a notice, an undo, and words for who does not see the screen. */
import { redraw } from "./watching";

export type Undo = { text: string; act: () => void };
let undo: Undo | null = null;
let notice: string | null = null;
let announced = "";

/** Speaks through the polite live region. */
export function say(text: string): void {
  announced = text === announced ? `${text}\u00a0` : text;
  redraw();
}

export function spoken(): string {
  return announced;
}

export function offerUndo(next: Undo | null): void {
  undo = next;
  redraw();
}

export function undoOffered(): Undo | null {
  return undo;
}

/** Shows words above the page until they are closed; null takes them away. */
export function notify(text: string | null): void {
  notice = text;
  redraw();
}

export function noticeShown(): string | null {
  return notice;
}
