// Bundles the command line, the language server and the VS Code extension into dist/.
import { rmSync } from "node:fs";
import { join } from "node:path";
import { build } from "esbuild";
import { root } from "./steps.mjs";

rmSync(join(root, "dist"), { recursive: true, force: true });

const common = {
  absWorkingDir: root,
  bundle: true,
  platform: "node",
  target: "node20",
  format: "cjs",
  outExtension: { ".js": ".cjs" },
  outdir: "dist",
  sourcemap: false,
  legalComments: "eof",
  // The language server's UMD builds hide their requires from a bundler; their ES modules do not.
  mainFields: ["module", "main"],
  logLevel: "warning",
};

await build({ ...common, entryPoints: { cli: "server/cli/main.ts" }, banner: { js: "#!/usr/bin/env node" } });
await build({ ...common, entryPoints: { server: "server/lsp/main.ts" } });
await build({ ...common, entryPoints: { extension: "client/extension.ts" }, external: ["vscode"] });
