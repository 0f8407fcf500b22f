/** What the app remembers besides jobs, and how long the browser keeps it all. */
import { answered, inStore, reading, toStore } from "./database";
import { fail } from "./trouble";

/** What was set since the start, for when the storage does not take it. */
export const memorySettings = new Map<string, unknown>();

export async function getSetting<T>(key: string, otherwise: T): Promise<T> {
  if (memorySettings.has(key)) return memorySettings.get(key) as T;
  const value = await inStore((open) => answered(reading(open, "settings").get(key))).catch(() => undefined);
  return value === undefined ? otherwise : (value as T);
}

export async function setSetting(key: string, value: unknown): Promise<void> {
  memorySettings.set(key, value);
  await toStore((open) => answered(open.put("settings", value, key))).catch(fail);
}

/** Asks the browser to keep the data when the phone is short of space; unasked only once, because some ask the person. */
export async function askPersistence(unasked = false): Promise<void> {
  try {
    if (unasked && (await getSetting("asked_to_keep", false))) return;
    await setSetting("asked_to_keep", true);
    if (await navigator.storage?.persisted?.()) return;
    await navigator.storage?.persist?.();
  } catch {
    return;
  }
}

export type StorageState = { used: number | null; quota: number | null; persisted: boolean | null };

export async function storageState(): Promise<StorageState> {
  try {
    const estimate = await navigator.storage?.estimate?.();
    const persisted = (await navigator.storage?.persisted?.()) ?? null;
    return { used: estimate?.usage ?? null, quota: estimate?.quota ?? null, persisted };
  } catch {
    return { used: null, quota: null, persisted: null };
  }
}
