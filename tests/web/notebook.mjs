// A notebook in a browser, without the browser: plain Pyodide under Node with micropip, which finds its
// packages at the index given. Runs the cell and then, on each of the texts given on standard input, `handle`
// as the cell has left it; writes the replies on standard output.
import { readFileSync } from "node:fs";
import { text } from "node:stream/consumers";
import { pathToFileURL } from "node:url";

const [pyodideFolder, micropipWheel, index] = process.argv.slice(2);
const { cell, requests } = JSON.parse(await text(process.stdin));
const { loadPyodide } = await import(pathToFileURL(`${pyodideFolder}/pyodide.mjs`).href);
const pyodide = await loadPyodide({ indexURL: pyodideFolder });
// Nothing but the index answers: what is not there is missing.
const everywhere = globalThis.fetch;
globalThis.fetch = (address, ...more) => {
  const asked = String(address.url ?? address);
  if (!asked.startsWith(`${index}/`)) throw new Error(`asked the network for ${asked}`);
  return everywhere(address, ...more);
};
await pyodide.loadPackage(micropipWheel, { messageCallback: () => {} });
pyodide.pyimport("micropip").set_index_urls(index);
try {
  await pyodide.runPythonAsync(cell);
} catch (problem) {
  console.error(problem.message);
  process.exit(1);
}
const handle = pyodide.globals.get("handle");
process.stdout.write(JSON.stringify(requests.map((request) => handle(request))));
