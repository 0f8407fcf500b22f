// The floor: Pyodide as it is shipped, up to its first answer.
import { loadPyodide } from "./stock/pyodide.mjs";

const pyodide = await loadPyodide();
self.postMessage({ answer: pyodide.runPython("1+1") });
