/** One job as a screen follows it. */
import { useEffect, useState } from "preact/hooks";
import { onJobChange } from "../jobs/changes";
import { type Found, getJob } from "../jobs/jobs";
import type { JobRecord } from "../jobs/record";
import { read } from "../wizard/paths";
import type { Answers } from "../wizard/questions";

/** A job as the storage has it; the last that was shown, once it is erased elsewhere; undefined while it is being read. */
export type Loaded = Found | { erased: JobRecord } | undefined;

export function isJob(loaded: Loaded): loaded is JobRecord {
  return !!loaded && "job" in loaded;
}

/** One job as it is now, in whichever tab it changes. */
export function useJob(id: string): Loaded {
  const [loaded, setLoaded] = useState<Loaded>(undefined);
  useEffect(() => {
    let live = true;
    const load = (): void => {
      void getJob(id).then((found) => {
        if (!live) return;
        setLoaded((before) => {
          if (found !== null || !before) return found;
          return isJob(before) ? { erased: before } : "erased" in before ? before : found;
        });
      });
    };
    load();
    const stop = onJobChange((changed) => {
      // Null: the storage answers again, or no more.
      if (changed === id || changed === null) load();
    });
    return () => {
      live = false;
      stop();
    };
  }, [id]);
  return loaded;
}

export function jobName(job: Answers): string {
  const name = read(job, "name");
  return typeof name === "string" ? name : "";
}
