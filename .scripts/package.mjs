// `npm run package`: builds, and packs one .vsix from what package.json's "files" lists. Nothing is fetched.
import { readFileSync, statSync } from "node:fs";
import { join } from "node:path";
import { build, install, root, run } from "./steps.mjs";

/** What a package may weigh, in bytes. */
const mostBytes = 12_000_000;

install();
build();
const { name, version } = JSON.parse(readFileSync(join(root, "package.json"), "utf8"));
const path = process.argv[2] ?? join(root, `${name}-${version}.vsix`);
run(
  join(root, "node_modules", ".bin", "vsce"),
  [
    "package",
    // Everything that is shipped is bundled.
    "--no-dependencies",
    "--allow-missing-repository",
    "--no-rewrite-relative-links",
    ...["--out", path],
  ],
  { shell: process.platform === "win32" },
);
const { size } = statSync(path);
if (size > mostBytes) {
  console.error(`package: ${path} has ${size} bytes; at most ${mostBytes} are meant to be.`);
  process.exit(2);
}
