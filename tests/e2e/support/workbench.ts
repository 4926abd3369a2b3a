import { type ChildProcess, execFile, spawn } from "node:child_process";
import { mkdirSync, readdirSync, readFileSync, writeFileSync } from "node:fs";
import { createServer } from "node:net";
import { join } from "node:path";
import { promisify } from "node:util";

/** What `npm run e2e` hands on. */
function given(name: string): string {
  const value = process.env[`PLACEWRIGHT_E2E_${name}`];
  if (value === undefined) throw new Error("Run these tests by npm run e2e: it brings the workbench along.");
  return value;
}

export const dataFolder = given("DATA");

/** A calm workbench: nothing that moves, asks, fetches, or covers what is looked at. */
const settings = {
  "workbench.startupEditor": "none",
  "workbench.tips.enabled": false,
  "workbench.secondarySideBar.defaultVisibility": "hidden",
  "workbench.reduceMotion": "on",
  "chat.disableAIFeatures": true,
  "chat.commandCenter.enabled": false,
  "window.commandCenter": false,
  "window.confirmBeforeClose": "never",
  "telemetry.telemetryLevel": "off",
  "editor.minimap.enabled": false,
  "editor.stickyScroll.enabled": false,
  "extensions.ignoreRecommendations": true,
  "extensions.autoCheckUpdates": false,
  "files.autoSave": "off",
  "git.enabled": false,
};

/** A running workbench, with the packed extension in it. */
export interface RunningWorkbench {
  readonly address: string;
  /** How often the extension was woken so far, as the workbench's own log says. */
  wakings(): number;
  /** The command lines of the language servers that the extension has started. */
  languageServers(): readonly string[];
  close(): void;
}

/** @param name of its data: each name is a workbench that knows nothing of the others. */
export async function startWorkbench(name: string, withExtension = true): Promise<RunningWorkbench> {
  const user = join(dataFolder, name, "user");
  const extensions = join(dataFolder, name, "extensions");
  mkdirSync(join(user, "User"), { recursive: true });
  mkdirSync(extensions, { recursive: true });
  writeFileSync(join(user, "User", "settings.json"), JSON.stringify(settings));
  const folders = ["--extensions-dir", extensions, "--user-data-dir", user];
  if (withExtension) {
    const args = [given("ENTRY"), "--install-extension", given("VSIX"), "--force", ...folders];
    const { stdout, stderr } = await promisify(execFile)(given("NODE"), args);
    if (!/was successfully installed/.test(stdout))
      throw new Error(`the extension cannot be installed: ${stdout}${stderr}`);
  }
  const port = await freePort();
  const server = spawn(given("NODE"), [
    given("ENTRY"),
    ...["--bind-addr", `127.0.0.1:${port}`, "--auth", "none"],
    ...["--disable-telemetry", "--disable-update-check", "--disable-workspace-trust"],
    ...folders,
  ]);
  const said = collected(server);
  const address = `http://127.0.0.1:${port}`;
  const deadline = Date.now() + 120_000;
  while (!(await answers(address))) {
    if (server.exitCode !== null || Date.now() > deadline)
      throw new Error(`the workbench does not start:\n${said()}`);
    await new Promise((resolve) => setTimeout(resolve, 200));
  }
  return {
    address,
    wakings: () =>
      readdirSync(join(user, "logs"), { recursive: true, encoding: "utf8" })
        .filter((path) => path.endsWith("remoteexthost.log"))
        .flatMap((path) => readFileSync(join(user, "logs", path), "utf8").split("\n"))
        .filter((line) => /_doActivateExtension placewright\.placewright\b/.test(line)).length,
    languageServers: () =>
      commandLines().filter((line) => line.includes(extensions) && line.includes("server.cjs")),
    close: () => void server.kill(),
  };
}

/** The command lines of all processes. Source: proc(5). */
function commandLines(): string[] {
  return readdirSync("/proc")
    .filter((name) => /^\d+$/.test(name))
    .map((id) => {
      try {
        return readFileSync(join("/proc", id, "cmdline"), "utf8").replaceAll("\0", " ");
      } catch {
        // It has ended meanwhile.
        return "";
      }
    });
}

function collected(server: ChildProcess): () => string {
  const pieces: string[] = [];
  for (const stream of [server.stdout, server.stderr])
    stream?.on("data", (data: Buffer) => pieces.push(data.toString()));
  return () => pieces.join("");
}

async function answers(address: string): Promise<boolean> {
  return fetch(`${address}/healthz`).then(
    ({ ok }) => ok,
    () => false,
  );
}

async function freePort(): Promise<number> {
  const server = createServer();
  await new Promise<void>((resolve) => server.listen(0, "127.0.0.1", resolve));
  const address = server.address();
  await new Promise((resolve) => server.close(resolve));
  if (address === null || typeof address === "string") throw new Error("there is no free port");
  return address.port;
}
