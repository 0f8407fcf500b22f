// Starts Pyodide under Node on the work folder given and runs compile_parts.py in it: the same
// Python that will run in the browser compiles what the browser loads.
import { readFileSync } from "node:fs";
import { resolve } from "node:path";
import { pathToFileURL } from "node:url";

const [pyodideFolder, workFolder, script] = process.argv.slice(2).map((path) => resolve(path));
const { loadPyodide } = await import(pathToFileURL(`${pyodideFolder}/pyodide.mjs`).href);
const pyodide = await loadPyodide({
  indexURL: pyodideFolder,
  env: { PYDANTIC_DISABLE_PLUGINS: "__all__", PYTHONDONTWRITEBYTECODE: "1" },
});
pyodide.FS.mkdir("/work");
pyodide.FS.mount(pyodide.FS.filesystems.NODEFS, { root: workFolder }, "/work");
try {
  pyodide.runPython(readFileSync(script, "utf8"), { filename: script });
} catch (problem) {
  console.error(problem.message);
  process.exit(1);
}
