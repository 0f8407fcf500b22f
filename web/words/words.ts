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
  const loaded = response?.ok ? ((await response.json().catch(() => null)) as Catalogue | null) : null;
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

/** Made once for each language: the first one takes the browser longer than a page of jobs. */
const dayFormats = new Map<string, Intl.DateTimeFormat>();

export function dayFormat(language: string): Intl.DateTimeFormat {
  const format = dayFormats.get(language) ?? new Intl.DateTimeFormat(language, { dateStyle: "medium" });
  dayFormats.set(language, format);
  return format;
}

/** A day in the reader's own form. */
export function day(value: unknown): string {
  const parts = typeof value === "string" ? /^(\d{4})-(\d{2})-(\d{2})$/.exec(value) : null;
  if (!parts) return typeof value === "string" ? value : "";
  const date = new Date(Number(parts[1]), Number(parts[2]) - 1, Number(parts[3]));
  return dayFormat(current).format(date);
}

export function megabytes(bytes: number): string {
  return new Intl.NumberFormat(current, { maximumFractionDigits: 1, minimumFractionDigits: 1 }).format(
    bytes / 1e6,
  );
}
