// Starts what is asked for in a worker of its own and says how long each part took.
const kept = navigator.serviceWorker
  .register("./service_worker.js")
  .then(() => navigator.serviceWorker.ready);

// As the app does: the service worker checks the files of a page that says nothing.
navigator.serviceWorker.controller?.postMessage({ ask: "running" });

/** From the worker's creation to Pyodide's first answer, in milliseconds. */
async function stock() {
  const began = performance.now();
  const worker = new Worker("./stock_worker.js", { type: "module" });
  await new Promise((resolve, reject) => {
    worker.onmessage = resolve;
    worker.onerror = reject;
  });
  return { verdict: performance.now() - began, answers: [] };
}

/** From the worker's creation to the first reply, and how long each further reply took. */
async function engine({ url, start, build, request, repeats }) {
  const began = performance.now();
  const worker = new Worker(url, { type: "module" });
  let next = 0;
  const waiting = new Map();
  const call = () => {
    const id = `call-${next++}`;
    // The wire format of the library that the app calls its worker through.
    worker.postMessage({
      id,
      type: "APPLY",
      path: ["call"],
      argumentList: [{ type: "RAW", value: request }],
    });
    return new Promise((resolve) => waiting.set(id, resolve));
  };
  let snapshotDone;
  const snapshot = new Promise((resolve) => (snapshotDone = resolve));
  const ready = new Promise((resolve, reject) => {
    worker.onerror = reject;
    worker.onmessage = ({ data }) => {
      if (data.boot === "ready") resolve(data);
      else if (data.boot === "failed") reject(new Error(data.detail));
      else if (data.boot === "snapshot") snapshotDone(data.kept);
      else waiting.get(data.id)?.(data.value);
    };
  });
  worker.postMessage({ boot: "start", build, lock: crypto.randomUUID(), start });
  const { start: how, milliseconds } = await ready;
  const reply = await call();
  const verdict = performance.now() - began;
  const answers = [];
  for (let n = 0; n < repeats; n += 1) {
    const asked = performance.now();
    await call();
    answers.push(performance.now() - asked);
  }
  if (start === "anew") await snapshot;
  return { verdict, answers, how, milliseconds, op: JSON.parse(reply).op };
}

/** What is ordered: the engine, or stock Pyodide where no way to start it is named. */
const run = (order) => (order.start ? engine(order) : stock());

const say = (message) => fetch("./heard", { method: "POST", body: JSON.stringify(message) });

/** What the address orders, begun when whoever listens says so. */
async function measured(order) {
  await say("loaded");
  try {
    await say(await run(order));
  } catch (problem) {
    await say({ failed: String(problem?.message ?? problem) });
  }
}

window.bench = { kept, run };
document.documentElement.dataset.bench = "loaded";
if (location.hash) void measured(JSON.parse(decodeURIComponent(location.hash.slice(1))));
