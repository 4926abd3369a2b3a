// Bundles the command line, the language server, the VS Code extension and the panel's page into dist/.
import { spawnSync } from "node:child_process";
import {
  copyFileSync,
  existsSync,
  mkdirSync,
  readdirSync,
  renameSync,
  rmSync,
  statSync,
  writeFileSync,
} from "node:fs";
import { join } from "node:path";
import { build } from "esbuild";
import { bundledPackages, noticesText } from "./notices.mjs";
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
  metafile: true,
};

const bundles = [
  { entryPoints: { cli: "server/cli/main.ts" }, banner: { js: "#!/usr/bin/env node" } },
  { entryPoints: { server: "server/lsp/main.ts" } },
  { entryPoints: { extension: "client/extension.ts" }, external: ["vscode"] },
];

// What programs import: one module for Node and for browsers alike.
bundles.push({
  entryPoints: { library: "shared/library/library.ts", rules: "shared/library/rules.ts" },
  platform: "neutral",
  format: "esm",
  outExtension: { ".js": ".mjs" },
});

const inBrowser = {
  platform: "browser",
  target: "es2022",
  format: "iife",
  outExtension: {},
  minify: true,
  jsx: "automatic",
  jsxImportSource: "preact",
};
bundles.push(
  { ...inBrowser, entryPoints: { panel: "client/panel/view/main.tsx" } },
  { ...inBrowser, entryPoints: { panel: "client/panel/view/view.css" } },
  { ...inBrowser, entryPoints: { "panel-engraver": "client/panel/view/engravingWorker.ts" } },
);

// The engraver stays a module of its own, as it was published, with its licence beside it.
const copies = {
  "panel.svg": "client/panel/panel.svg",
  "verovio-module.mjs": "node_modules/verovio/dist/verovio-module.mjs",
  "verovio.mjs": "node_modules/verovio/dist/verovio.mjs",
  "verovio-LGPL-3.0.txt": "client/panel/verovio-LGPL-3.0.txt",
  "verovio-GPL-3.0.txt": "client/panel/verovio-GPL-3.0.txt",
};

// Built aside and then put in place file by file: whoever runs the old bundles meanwhile finds them whole.
const dist = join(root, "dist");
const aside = join(dist, `.building-${process.pid}`);
mkdirSync(aside, { recursive: true });
try {
  const metafiles = [];
  for (const bundle of bundles) {
    const entryPoint = Object.values(bundle.entryPoints)[0];
    if (existsSync(join(root, entryPoint)))
      metafiles.push((await build({ ...common, ...bundle, outdir: aside })).metafile);
    else console.error(`build: there is no ${entryPoint}; its bundle is left out.`);
  }
  for (const [name, path] of Object.entries(copies)) copyFileSync(join(root, path), join(aside, name));
  declareTypes(join(aside, "types"));
  const folders = [...bundledPackages(metafiles), "node_modules/verovio"].sort();
  writeFileSync(join(aside, "third-party-notices.txt"), noticesText(folders));
  const made = readdirSync(aside);
  for (const name of made) {
    // A folder does not take the place of another that has something in it.
    if (statSync(join(aside, name)).isDirectory()) rmSync(join(dist, name), { recursive: true, force: true });
    renameSync(join(aside, name), join(dist, name));
  }
  for (const name of readdirSync(dist)) {
    if (!name.startsWith(".") && !made.includes(name)) rmSync(join(dist, name), { recursive: true });
  }
} finally {
  rmSync(aside, { recursive: true, force: true });
}

/** The types of the library, file by file as the sources are. Faults in types are told by `npm run check:types`. */
function declareTypes(folder) {
  const tsc = join(root, "node_modules", ".bin", "tsc");
  const project = join(root, "shared", "library");
  spawnSync(tsc, ["-p", project, "--outDir", folder], {
    stdio: "ignore",
    shell: process.platform === "win32",
  });
}
