/** Parts that are drawn again when something shared changes. */
import { useEffect, useState } from "preact/hooks";

const watchers = new Set<() => void>();

/** Has all that is shown drawn again. */
export function redraw(): void {
  for (const watcher of watchers) watcher();
}

/** Draws the calling part again whenever something shared changes. */
export function useSession(): void {
  const [, again] = useState({});
  useEffect(() => {
    const watcher = (): void => again({});
    watchers.add(watcher);
    return () => void watchers.delete(watcher);
  }, []);
}
