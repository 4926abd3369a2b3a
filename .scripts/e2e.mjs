// `npm run e2e`: packs the extension, installs it in a workbench from npm, and drives it there in Debian's browser.
import { existsSync, mkdirSync, mkdtempSync, rmSync } from "node:fs";
import { tmpdir } from "node:os";
import { join } from "node:path";
import { build, install, root, run } from "./steps.mjs";
import { installWorkbench, workbench } from "./workbench.mjs";

const browser = "/usr/bin/chromium";
if (!existsSync(browser)) {
  console.error(`There is no ${browser}, and the end-to-end tests cannot run: apt-get install chromium`);
  process.exit(2);
}
install();
build();
installWorkbench();

const data = mkdtempSync(join(tmpdir(), "placewright-e2e-"));
process.on("exit", () => rmSync(data, { recursive: true, force: true }));
mkdirSync(join(root, "out", "e2e"), { recursive: true });
const vsix = join(data, "placewright.vsix");
run(process.execPath, [join(".scripts", "package.mjs"), vsix]);
const bin = join(root, "node_modules", ".bin", "vitest");
run(bin, ["run", "--config", "tests/e2e/vitest.config.ts", ...process.argv.slice(2)], {
  shell: process.platform === "win32",
  env: {
    ...process.env,
    PLACEWRIGHT_E2E_NODE: workbench.node,
    PLACEWRIGHT_E2E_ENTRY: workbench.entry,
    PLACEWRIGHT_E2E_VSIX: vsix,
    PLACEWRIGHT_E2E_DATA: data,
  },
});
