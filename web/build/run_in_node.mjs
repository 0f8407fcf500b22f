// Runs a built folder's own Python under Node: reads a JSON list of requests, each as text, on standard input,
// writes the JSON list of the engine's replies. The same archives and the same cut standard library
// as in the browser, without one.
import { readFileSync, readdirSync } from "node:fs";
import { resolve } from "node:path";
import { text } from "node:stream/consumers";
import { loadPyodide } from "pyodide";

const dist = resolve(process.argv[2]);
const part = (start, end = "") => {
  const found = readdirSync(`${dist}/python`).find(
    (name) => name.startsWith(start) && name.endsWith(end) && !/\.(br|gz)$/.test(name),
  );
  return `${dist}/python/${found}`;
};
const pyodide = await loadPyodide({
  createPyodideModule: (await import(part("pyodide.asm-", ".mjs"))).default,
  stdLibURL: part("stdlib-"),
  lockFileContents: { info: JSON.parse(process.argv[3]), packages: {} },
  packageBaseUrl: dist,
  env: {
    PYTHONPATH: "/site.zip",
    PYDANTIC_DISABLE_PLUGINS: "__all__",
    PLATEPATH_BUILD: "development",
  },
  fsInit: async (files) => {
    files.writeFile("/site.zip", readFileSync(part("site-")));
    files.writeFile("/pydantic_core.so", readFileSync(part("pydantic_core-")));
  },
});
const { handle } = pyodide.pyimport("platepath_boot");
const requests = JSON.parse(await text(process.stdin));
process.stdout.write(JSON.stringify(requests.map((request) => handle(request))));
