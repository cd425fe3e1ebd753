// Runs the tests beside the TypeScript (*.test.ts): bundled for node, then node's own test runner.
import { build } from "esbuild";
import { spawnSync } from "node:child_process";
import * as fs from "node:fs";
import * as os from "node:os";
import * as path from "node:path";
import { fileURLToPath } from "node:url";

const here = path.dirname(fileURLToPath(import.meta.url));
const found = ["ui", "worker"].flatMap((dir) =>
  fs.readdirSync(path.join(here, dir), { recursive: true }).filter((f) => f.endsWith(".test.ts")).map((f) => path.join(here, dir, f)));
const out = fs.mkdtempSync(path.join(os.tmpdir(), "batterboard-test-"));

await build({
  entryPoints: found, outdir: out, outbase: here, bundle: true, platform: "node", format: "esm", target: "node20",
  outExtension: { ".js": ".mjs" }, logLevel: "warning", jsx: "automatic", jsxImportSource: "preact",
});
const tests = fs.readdirSync(out, { recursive: true }).filter((f) => f.endsWith(".test.mjs")).map((f) => path.join(out, f));
const run = spawnSync(process.execPath, ["--test", "--test-reporter=dot", ...tests], { stdio: "inherit" });
fs.rmSync(out, { recursive: true, force: true });
process.exit(run.status ?? 1);
