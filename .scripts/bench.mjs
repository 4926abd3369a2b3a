// `npm run bench`: times every program of tests/bench, or those named: `npm run bench -- fingering`.
import { readdirSync } from "node:fs";
import { basename, join } from "node:path";
import { install, root, run } from "./steps.mjs";

install();
const folder = join("tests", "bench");
const wanted = process.argv.slice(2);
for (const file of readdirSync(join(root, folder)).sort()) {
  const name = basename(file, ".ts");
  if (wanted.length > 0 && !wanted.includes(name)) continue;
  process.stdout.write(`\n${name}\n`);
  run(process.execPath, [join(".scripts", "bundled.mjs"), join(folder, file)]);
}
