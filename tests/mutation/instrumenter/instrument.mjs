// Puts every small change of some sources into them at once, each behind a switch, and says what they are.
// Usage: node instrument.mjs FILE…; writes the files in place and prints the changes as JSON.
import { readFile, writeFile } from "node:fs/promises";
import { Instrumenter } from "@stryker-mutator/instrumenter";

// Words, keys and patterns: what a person reads is not what is judged here.
const LEFT_OUT = ["StringLiteral", "ObjectLiteral", "Regex"];

const silent = () => undefined;
const log = { isDebugEnabled: () => false, debug: silent, info: silent, warn: console.error };
const instrumenter = new Instrumenter(log);
const changes = [];
for (const name of process.argv.slice(2)) {
  const content = await readFile(name, "utf8");
  const { files, mutants } = await instrumenter.instrument([{ name, mutate: true, content }], {
    plugins: [],
    excludedMutations: LEFT_OUT,
    ignorers: [],
    noHeader: false,
  });
  // Ids begin anew with each file; the switch compares texts.
  const apart = (id) => `${changes.length + Number(id)}`;
  const code = files[0].content.replace(
    /(stryMutAct_9fa48|stryCov_9fa48)\(([^)]*)\)/g,
    (_, helper, ids) => `${helper}(${ids.replace(/"(\d+)"/g, (_, id) => `"${apart(id)}"`)})`,
  );
  await writeFile(name, `// @ts-nocheck\n${code}`);
  const lines = content.split("\n");
  const offset = ({ line, column }) =>
    lines.slice(0, line).reduce((sum, text) => sum + text.length + 1, column);
  const shown = mutants
    .filter((mutant) => mutant.status !== "Ignored")
    .map(({ id, mutatorName, replacement, location: { start, end } }) => ({
      id: apart(id),
      file: name,
      kind: mutatorName,
      line: start.line + 1,
      was: content.slice(offset(start), offset(end)),
      becomes: replacement,
    }));
  changes.push(...mutants.map(() => null));
  for (const one of shown) changes[Number(one.id)] = one;
}
console.log(JSON.stringify(changes.filter(Boolean)));
