// The workbench that the end-to-end tests drive: from npm, kept in a folder of its own.
import { spawnSync } from "node:child_process";
import { existsSync, mkdirSync, openSync, readdirSync, readFileSync, rmSync, writeFileSync } from "node:fs";
import { delimiter, join } from "node:path";
import { root } from "./steps.mjs";

const codeServer = "4.139.1";
/** What that version of it runs on; the project itself needs no more than Node 20. */
const node = "24.21.0";

/** Debian's packages for the workbench's native modules, and its browser. */
const debianPackages =
  "chromium g++ make python3 pkg-config libkrb5-dev libsecret-1-dev libx11-dev libxkbfile-dev";

/** Where it is kept: 800 MB that git does not see. */
export const workbenchFolder = process.env.PLACEWRIGHT_WORKBENCH ?? join(root, ".workbench");

/** The program and its first argument, and the environment to start it in. */
export const workbench = {
  node: join(workbenchFolder, "node24", "node_modules", ".bin", "node"),
  entry: join(workbenchFolder, "node_modules", "code-server", "out", "node", "entry.js"),
};

/** Installs it, unless it is there. Ends the process with a message when it cannot be had. */
export function installWorkbench() {
  if (isInstalled()) return;
  const started = Date.now();
  console.error(`The workbench is installed into ${workbenchFolder}; that takes some minutes.`);
  mkdirSync(workbenchFolder, { recursive: true });
  const log = join(workbenchFolder, "install.log");
  writeFileSync(log, "");
  const nodeFolder = join(workbenchFolder, "node24");
  ownPackage(nodeFolder, "workbench-node");
  ownPackage(workbenchFolder, "workbench");
  npm(["install", `node@${node}`], nodeFolder, {}, log);
  const own = {
    PATH: `${join(nodeFolder, "node_modules", ".bin")}${delimiter}${process.env.PATH}`,
    // The headers that native modules are compiled with come with that Node too.
    ...(headers(nodeFolder) ? { npm_config_nodedir: headers(nodeFolder) } : {}),
  };
  npm(["install", `code-server@${codeServer}`, "--foreground-scripts"], workbenchFolder, own, log);
  // On a machine that has just compiled for minutes the first start may stumble.
  if (!isInstalled() && !isInstalled()) giveUp(`it was installed and does not start: ${saidAtStart()}`, log);
  console.error(`The workbench was installed in ${Math.round((Date.now() - started) / 1000)} s.`);
}

function isInstalled() {
  if (!existsSync(workbench.node) || !existsSync(workbench.entry)) return false;
  return saidAtStart().startsWith(codeServer);
}

/** What it says when it is asked for its version, or why it says nothing. */
function saidAtStart() {
  const { stdout, stderr, error } = spawnSync(workbench.node, [workbench.entry, "--version"], {
    encoding: "utf8",
  });
  return stdout || stderr || error?.message || "nothing";
}

/** A package of its own, so that npm installs there and not above. */
function ownPackage(folder, name) {
  mkdirSync(folder, { recursive: true });
  rmSync(join(folder, "node_modules"), { recursive: true, force: true });
  writeFileSync(join(folder, "package.json"), `${JSON.stringify({ name, private: true })}\n`);
}

/** Where the installed Node has its headers; undefined when it brings none. */
function headers(nodeFolder) {
  const own = join(nodeFolder, "node_modules", "node", "node_modules");
  for (const folder of [own, join(nodeFolder, "node_modules")]) {
    const name = existsSync(folder)
      ? readdirSync(folder).find((each) => existsSync(join(folder, each, "include", "node", "node.h")))
      : undefined;
    if (name !== undefined) return join(folder, name);
  }
  return undefined;
}

function npm(args, cwd, environment, log) {
  const output = openSync(log, "a");
  const { status, error } = spawnSync("npm", [...args, "--no-audit", "--no-fund", "--no-package-lock"], {
    cwd,
    env: { ...ownEnvironment(), ...environment },
    stdio: ["ignore", output, output],
  });
  if (error || status !== 0) giveUp(error?.message ?? `npm ${args.join(" ")} ended with ${status}`, log);
}

/** Without what an npm that runs this script says of itself and of this project: another one begins here. */
function ownEnvironment() {
  const itself = /^npm_(lifecycle|package|command|execpath|node_execpath|config_(user_agent|local_prefix))/;
  return Object.fromEntries(Object.entries(process.env).filter(([name]) => !itself.test(name)));
}

function giveUp(why, log) {
  const last = readFileSync(log, "utf8").trimEnd().split("\n").slice(-25).join("\n");
  console.error(`${last}\n
The workbench cannot be had, and the end-to-end tests cannot run: ${why}.
What npm said is in ${log}. On Debian it needs: apt-get install ${debianPackages}`);
  process.exit(2);
}
