import { execFileSync } from "node:child_process";
import { mkdirSync, mkdtempSync, readFileSync, realpathSync, rmSync, writeFileSync } from "node:fs";
import { tmpdir } from "node:os";
import { delimiter, join } from "node:path";
import { afterAll, beforeAll, expect, onTestFinished, test, vi } from "vitest";
import { projectFolder } from "../support/built.ts";
import { demoText } from "../support/demo.ts";
import { withoutFingering } from "../support/libxml.ts";
import { tinyScore } from "../support/tinyScore.ts";
import { startProgram } from "../view/support/startedView.ts";

// A folder outside the project that has the packed package and nothing else, and does what README.md says.
const readme = readFileSync(join(projectFolder, "README.md"), "utf8");

/** The first block of a language below a heading of README.md. */
function block(heading: string, language: string): string {
  const section = readme.slice(readme.indexOf(`\n${heading}\n`));
  return new RegExp(`\`\`\`${language}\n(.*?)\`\`\``, "s").exec(section)![1]!;
}

vi.setConfig({ testTimeout: 180_000 });

let folder: string;
let packed: string;
let commands: string;

beforeAll(() => {
  folder = realpathSync(mkdtempSync(join(tmpdir(), "placewright-packed-")));
  packed = npm(projectFolder, "pack", "--silent", "--pack-destination", folder).trim();
  writeFileSync(join(folder, "package.json"), '{ "private": true, "type": "module" }\n');
  npm(folder, "install", "--offline", "--no-audit", "--no-fund", `./${packed}`);
  commands = join(folder, "node_modules", ".bin");
  writeFileSync(join(folder, "song.musicxml"), demoText("millrace-reel"));
}, 300_000);

afterAll(() => rmSync(folder, { recursive: true, force: true }));

/** Nothing that was fetched before is at hand, and nothing can be fetched. */
function npm(cwd: string, ...args: string[]): string {
  const env = {
    ...process.env,
    npm_config_cache: join(folder, ".npm"),
    npm_config_registry: "http://127.0.0.1:9/",
  };
  return execFileSync("npm", args, { cwd, encoding: "utf8", env, shell: process.platform === "win32" });
}

/** Runs the installed command, as it stands on the path. */
function run(args: readonly string[], options: { input?: string; mayFind?: boolean } = {}): string {
  try {
    return execFileSync("placewright", args, {
      cwd: folder,
      encoding: "utf8",
      input: options.input,
      env: onPath(),
      shell: process.platform === "win32",
      stdio: ["pipe", "pipe", "pipe"],
    });
  } catch (error) {
    const { status, stdout } = error as { status: number; stdout: string };
    if (options.mayFind && status === 1) return stdout;
    throw error;
  }
}

function onPath(): NodeJS.ProcessEnv {
  return { ...process.env, PATH: `${commands}${delimiter}${process.env.PATH}` };
}

function node(...args: string[]): string {
  return execFileSync(process.execPath, args, {
    cwd: folder,
    encoding: "utf8",
    env: onPath(),
    stdio: ["pipe", "pipe", "pipe"],
  });
}

/** True when nothing but fingering is otherwise, and there is much of it. */
function isFingered(text: string): boolean {
  const reel = demoText("millrace-reel");
  return (
    (text.match(/<fingering/g) ?? []).length > 250 &&
    withoutFingering(Buffer.from(text)) === withoutFingering(Buffer.from(reel))
  );
}

const fingeredFile = (): string => readFileSync(join(folder, "fingered.musicxml"), "utf8");

test("it installs as the page says, and nothing beside it", () => {
  expect(block("## In your own programs", "")).toContain(`npm install ./${packed} `);
  const { packages } = JSON.parse(readFileSync(join(folder, "package-lock.json"), "utf8"));
  expect(Object.keys(packages)).toEqual(["", "node_modules/placewright"]);
});

test("the program of the page for users uses the library", () => {
  writeFileSync(join(folder, "program.mjs"), block("## In your own programs", "js"));
  expect(node("program.mjs")).toContain("Stop on pain");
  expect(isFingered(fingeredFile())).toBe(true);
});

test("the house rule of the page for users finds and repairs", () => {
  const rules = join(folder, "house-rules");
  mkdirSync(rules);
  writeFileSync(join(rules, "no-fourth-finger.mjs"), block("### House rules", "js"));
  writeFileSync(join(folder, "placewright.json"), block("### House rules", "json"));
  writeFileSync(join(folder, "four.musicxml"), tinyScore("C4:4 r G4:1").text);
  const args = ["check", "four.musicxml", "--no-cache", "--allow-plugins"];
  expect(run(args, { mayFind: true })).toContain("warning our-series/no-fourth-finger: C4 has 4.");
  expect(run(["rules", "our-series/no-fourth-finger", "--allow-plugins"])).toContain("Take 3 here");
  const trial = `import { tryRule } from "placewright/rules";
import { noFourthFinger } from "./house-rules/no-fourth-finger.mjs";
process.stdout.write(JSON.stringify(tryRule(noFourthFinger)));
`;
  writeFileSync(join(folder, "trial.mjs"), trial);
  expect(node("trial.mjs")).toBe("[]");
});

test("the filter fingers what it is sent", () => {
  expect(isFingered(run(["finger", "-"], { input: demoText("millrace-reel") }))).toBe(true);
  const found = JSON.parse(
    run(["check", "-", "--format", "json"], { input: demoText("lantern-waltz"), mayFind: true }),
  );
  expect(found.files[0].findings.length).toBeGreaterThan(3);
  node("node_modules/placewright/fixtures/plugins/finger-file.mjs", "song.musicxml", "fingered.musicxml");
  expect(isFingered(fingeredFile())).toBe(true);
});

test("the endpoints check and finger what they are sent", async () => {
  const program = join(folder, "node_modules", "placewright", "dist", "cli.cjs");
  const { address, stop } = await startProgram(program, folder);
  onTestFinished(stop);
  const description = (await (await fetch(`${address}v1/openapi.json`)).json()) as { openapi: string };
  expect(description.openapi).toMatch(/^3\.1\./);
  writeFileSync(
    join(folder, "description.mjs"),
    'import found from "placewright/openapi.json" with { type: "json" }; process.stdout.write(JSON.stringify(found));',
  );
  expect(JSON.parse(node("description.mjs"))).toEqual(description);
  const answer = await fetch(`${address}v1/check`, {
    method: "POST",
    headers: { "content-type": "application/vnd.recordare.musicxml+xml" },
    body: demoText("lantern-waltz"),
  });
  const { files } = (await answer.json()) as { files: { findings: object[] }[] };
  expect(files[0]!.findings.length).toBeGreaterThan(3);
  const client = "node_modules/placewright/fixtures/plugins/finger-over-http.mjs";
  node(client, address, "song.musicxml", "fingered.musicxml");
  expect(isFingered(fingeredFile())).toBe(true);
});
