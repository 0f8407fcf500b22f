// Starts Pyodide under Node, has micropip install the requirements given from an index, and writes the
// lock of what it installed on standard output.
import { readFileSync } from "node:fs";
import { pathToFileURL } from "node:url";

const [pyodideFolder, micropipWheel, index, ...requirements] = process.argv.slice(2);
const { loadPyodide } = await import(pathToFileURL(`${pyodideFolder}/pyodide.mjs`).href);
// Without the packages that Pyodide brings: micropip would list them all.
const { info } = JSON.parse(readFileSync(`${pyodideFolder}/pyodide-lock.json`, "utf8"));
const pyodide = await loadPyodide({
  indexURL: pyodideFolder,
  lockFileContents: { info, packages: {} },
  packageBaseUrl: pyodideFolder,
});
await pyodide.loadPackage(micropipWheel, { messageCallback: () => {} });
const micropip = pyodide.pyimport("micropip");
try {
  await micropip.install.callKwargs(requirements, { index_urls: index });
} catch (problem) {
  console.error(problem.message);
  process.exit(1);
}
process.stdout.write(micropip.freeze());
