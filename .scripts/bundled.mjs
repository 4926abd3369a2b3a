// Bundles a TypeScript program of tests/ and runs it: `node .scripts/bundled.mjs tests/fuzz/long.ts --seconds 60`.
import { mkdtempSync, rmSync } from "node:fs";
import { join } from "node:path";
import { build } from "esbuild";
import { root, run } from "./steps.mjs";

const [program, ...rest] = process.argv.slice(2);
// Beside the sources, so that the bundle finds the packages that it leaves out.
const folder = mkdtempSync(join(root, "node_modules", ".bundled-"));
process.on("exit", () => rmSync(folder, { recursive: true, force: true }));
await build({
  absWorkingDir: root,
  entryPoints: [program],
  outfile: join(folder, "program.mjs"),
  bundle: true,
  platform: "node",
  target: "node20",
  format: "esm",
  mainFields: ["module", "main"],
  // They load WebAssembly from beside themselves.
  external: ["libxml2-wasm", "verovio", "playwright-core"],
  // All such programs and what they import lie two folders deep.
  define: { "import.meta.dirname": JSON.stringify(join(root, program, "..")) },
  logLevel: "warning",
});
run(process.execPath, ["--expose-gc", join(folder, "program.mjs"), ...rest]);
