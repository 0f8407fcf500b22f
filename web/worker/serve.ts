// The engine's worker: once Python is started it answers strings with strings. No Python object ever leaves it.
import * as Comlink from "comlink";
import type { BootOrder, EngineWorker } from "./messages";
import { checkWebAssembly, Trouble } from "./python";
import { fail, milliseconds, say, type Started, startSomehow, step } from "./start";

/** When the archives of a restored engine follow, unless they are wanted before: once the first verdicts are given. */
const ARCHIVES_FOLLOW_MS = 200;

/** How a reply begins that says the engine failed. */
const FAILED = '{"op":"failed"';

function serve({ boot, complete }: Started): EngineWorker {
  let isWhole = !complete;
  const becomeWhole = async (): Promise<void> => {
    await complete?.();
    isWhole = true;
  };
  if (!isWhole) setTimeout(() => void becomeWhole().catch(fail), ARCHIVES_FOLLOW_MS);
  return {
    call: async (request) => {
      try {
        const reply = boot.handle(request);
        if (isWhole || !reply.startsWith(FAILED)) return reply;
        // What it wanted to import may not have come yet.
        await becomeWhole();
        return boot.handle(request);
      } catch (problem) {
        // The engine answers its own errors; what comes here is the interpreter's end, or its archives are gone.
        if (problem instanceof Trouble) fail(problem);
        else say({ boot: "died", detail: String(problem) });
        throw problem;
      }
    },
  };
}

async function start(order: BootOrder): Promise<void> {
  navigator.locks?.request(order.lock, () => new Promise(() => undefined)).catch(() => undefined);
  try {
    step("runtime");
    await checkWebAssembly();
    const started = await startSomehow(order);
    Comlink.expose(serve(started));
    step("check");
    say({ boot: "ready", milliseconds, start: started.how });
  } catch (problem) {
    fail(problem);
  }
}

self.addEventListener("message", (event: MessageEvent<BootOrder>) => {
  if (event.data?.boot === "start") void start(event.data);
});
