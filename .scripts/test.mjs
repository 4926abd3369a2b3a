// `npm test`: installs, checks types, style and import rule, builds, and runs every test.

import { join } from "node:path";
import { build, install, root, run } from "./steps.mjs";

install();
const bin = (name) => join(root, "node_modules", ".bin", name);
const shell = process.platform === "win32";
run(bin("tsc"), ["--noEmit"], { shell });
run(bin("tsc"), ["--noEmit", "-p", "client/panel/view"], { shell });
run(bin("biome"), ["check", "--error-on-warnings", "."], { shell });
build();
run(bin("vitest"), ["run", "--config", "tests/vitest.config.ts", ...process.argv.slice(2)], { shell });
