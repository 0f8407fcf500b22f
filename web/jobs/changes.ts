/** Who is told when a job changes, in this tab and in the others. */

const listeners = new Set<(id: string | null) => void>();
const channel = new BroadcastChannel("platepath");
channel.onmessage = (event: MessageEvent<string | null>) => tell(event.data);

/** Tells those who listen in this tab. */
export function tell(id: string | null): void {
  for (const listener of listeners) listener(id);
}

/** Tells this tab and the others. */
export function changed(id: string | null): void {
  tell(id);
  channel.postMessage(id);
}

/** Calls back when a job changes in this tab or another; null stands for the storage state and for many jobs. */
export function onJobChange(listener: (id: string | null) => void): () => void {
  listeners.add(listener);
  return () => listeners.delete(listener);
}
