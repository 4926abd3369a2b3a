// Bundles the command line, the language server and the VS Code extension into dist/.
import { existsSync, mkdirSync, readdirSync, renameSync, rmSync } from "node:fs";
import { join } from "node:path";
import { build } from "esbuild";
import { root } from "./steps.mjs";

const common = {
  absWorkingDir: root,
  bundle: true,
  platform: "node",
  target: "node20",
  format: "cjs",
  outExtension: { ".js": ".cjs" },
  sourcemap: false,
  legalComments: "eof",
  // The language server's UMD builds hide their requires from a bundler; their ES modules do not.
  mainFields: ["module", "main"],
  logLevel: "warning",
};

const bundles = [
  { entryPoints: { cli: "server/cli/main.ts" }, banner: { js: "#!/usr/bin/env node" } },
  { entryPoints: { server: "server/lsp/main.ts" } },
  { entryPoints: { extension: "client/extension.ts" }, external: ["vscode"] },
];

// Built aside and then put in place file by file: whoever runs the old bundles meanwhile finds them whole.
const dist = join(root, "dist");
const aside = join(dist, `.building-${process.pid}`);
mkdirSync(aside, { recursive: true });
try {
  for (const bundle of bundles) {
    const entryPoint = Object.values(bundle.entryPoints)[0];
    if (existsSync(join(root, entryPoint))) await build({ ...common, ...bundle, outdir: aside });
    else console.error(`build: there is no ${entryPoint}; its bundle is left out.`);
  }
  const made = readdirSync(aside);
  for (const name of made) renameSync(join(aside, name), join(dist, name));
  for (const name of readdirSync(dist)) {
    if (!name.startsWith(".") && !made.includes(name)) rmSync(join(dist, name), { recursive: true });
  }
} finally {
  rmSync(aside, { recursive: true, force: true });
}
