// Reads the contract's JSON Schema on standard input and writes the TypeScript of it on standard output.
import { text } from "node:stream/consumers";
import { compile } from "json-schema-to-typescript";

const schema = JSON.parse(await text(process.stdin));
process.stdout.write(
  await compile({ title: "Contract", type: "object", additionalProperties: false, ...schema }, "Contract", {
    bannerComment: "/* Generated from the engine by the build. Never edited, never committed. */",
    unreachableDefinitions: true,
    additionalProperties: false,
    enableConstEnums: false,
    format: false,
  }),
);
