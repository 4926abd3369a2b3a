// What `npm start`, `npm test` and `npm run build` share: install and build only when something changed.
import { spawnSync } from "node:child_process";
import { createHash } from "node:crypto";
import { existsSync, mkdirSync, readdirSync, readFileSync, statSync, writeFileSync } from "node:fs";
import { dirname, join } from "node:path";
import { fileURLToPath } from "node:url";

export const root = join(dirname(fileURLToPath(import.meta.url)), "..");

/** Runs a command in the project's folder and ends this process with its exit code when it fails. */
export function run(command, args, options = {}) {
  const result = spawnSync(command, args, { cwd: root, stdio: "inherit", ...options });
  if (result.error) {
    console.error(`${command}: ${result.error.message}`);
    process.exit(2);
  }
  if (result.status !== 0) process.exit(result.status ?? 1);
}

/** Installs the packages of the lock file, unless that was done for this very lock file. */
export function install() {
  const wanted = digest([join(root, "package-lock.json")]);
  const stamp = join(root, "node_modules", ".placewright-installed");
  if (existsSync(stamp) && readFileSync(stamp, "utf8") === wanted) return;
  run("npm", ["ci", "--no-audit", "--no-fund", "--loglevel=error"], { shell: process.platform === "win32" });
  writeFileSync(stamp, wanted);
}

/** Builds dist/, unless it was built from these very sources. */
export function build() {
  const sources = ["client", "server", "shared", ".scripts"].flatMap((folder) =>
    filesBelow(join(root, folder)),
  );
  const wanted = digest([join(root, "package.json"), join(root, "package-lock.json"), ...sources]);
  const stamp = join(root, "dist", ".built-from");
  if (existsSync(stamp) && readFileSync(stamp, "utf8") === wanted) return;
  run(process.execPath, [join(root, ".scripts", "build.mjs")]);
  mkdirSync(dirname(stamp), { recursive: true });
  writeFileSync(stamp, wanted);
}

function filesBelow(folder) {
  return readdirSync(folder, { withFileTypes: true })
    .flatMap((entry) => {
      const path = join(folder, entry.name);
      return entry.isDirectory() ? filesBelow(path) : [path];
    })
    .sort();
}

function digest(paths) {
  const hash = createHash("sha256");
  for (const path of paths)
    hash
      .update(path)
      .update(String(statSync(path).size))
      .update(readFileSync(path));
  return hash.digest("hex");
}
