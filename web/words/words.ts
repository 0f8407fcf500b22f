/** The words of the interface in the reader's language; trade words come from the engine. */
import { WORDS_URLS } from "../generated/version";
import english from "./en.json";

export type Word = keyof typeof english;
export type Language = "en" | "es";
type Catalogue = { [word in Word]?: string };

export const languages: { value: Language; label: string }[] = [
  { value: "en", label: "English" },
  { value: "es", label: "Español" },
];

let current: Language = "en";
let catalogue: Catalogue = english;

export function language(): Language {
  return current;
}

/** The language the phone asks for, where there is a catalogue for it. */
export function phoneLanguage(): Language {
  const asked = navigator.languages.map((tag) => tag.split("-")[0]);
  return (
    languages.find((item) => item.value === asked.find((tag) => tag === "en" || tag === "es"))?.value ?? "en"
  );
}

/** Speaks a language from now on; without its words the app stays with English, which is always there. */
export async function setLanguage(next: Language): Promise<void> {
  const address = WORDS_URLS[next];
  const response = address ? await fetch(address).catch(() => null) : null;
  const loaded: Catalogue | null = response?.ok ? await response.json().catch(() => null) : null;
  catalogue = loaded ?? english;
  current = loaded ? next : "en";
  document.documentElement.lang = current;
}

/** One text, its {places} filled. */
export function t(word: Word, places: { [place: string]: string | number } = {}): string {
  const text = catalogue[word] ?? english[word];
  return text.replace(/\{(\w+)\}/g, (whole, place: string) => String(places[place] ?? whole));
}

export function answerWordSet(): { yes: string; no: string; none: string } {
  return { yes: t("yes"), no: t("no"), none: t("none_found") };
}

/** A day in the reader's own form. The browser's own calendar would hold the first screen up while it starts. */
export function day(value: unknown): string {
  const parts = typeof value === "string" ? /^(\d{4})-(\d{2})-(\d{2})$/.exec(value) : null;
  const month = parts && t("months").split(" ")[Number(parts[2]) - 1];
  if (!parts || !month) return typeof value === "string" ? value : "";
  return t("day_month_year", { day: Number(parts[3]), month, year: Number(parts[1]) });
}

export function megabytes(bytes: number): string {
  return new Intl.NumberFormat(current, { maximumFractionDigits: 1, minimumFractionDigits: 1 }).format(
    bytes / 1e6,
  );
}
