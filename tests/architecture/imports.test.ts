import { readdirSync, readFileSync } from "node:fs";
import { dirname, join, relative } from "node:path";
import { describe, expect, test } from "vitest";
import { projectFolder } from "../support/built.ts";

/**
 * The folders of the core, lowest first: a folder imports only from those before it. `score` and `harp` stand on one
 * step and do not know each other, nor do `rules` and `editions`.
 */
const steps: readonly (readonly string[])[] = [
  ["text"],
  ["musicxml"],
  ["score", "harp"],
  ["fingering"],
  ["mechanism"],
  ["passages"],
  ["rules", "editions"],
  ["service"],
  ["protocol", "library"],
];

/** Libraries that the core may use: they compute, and touch neither files nor network, clock or chance. */
const pureLibraries = [
  "saxes",
  "fast-xml-parser",
  "fflate",
  "fastest-levenshtein",
  "jsonc-parser",
  "picomatch/posix",
];

/** What an import may lead to: a folder of the project, a library, or a part of Node (`node:`). */
interface Import {
  readonly file: string;
  readonly to: string;
}

function sourceFiles(folder: string): string[] {
  return readdirSync(join(projectFolder, folder), { recursive: true, withFileTypes: true })
    .filter((entry) => entry.isFile() && /\.(ts|tsx|mts|cts|js|mjs)$/.test(entry.name))
    .map((entry) => relative(projectFolder, join(entry.parentPath, entry.name)).replaceAll("\\", "/"))
    .sort();
}

/** The specifiers of all imports and re-exports in a source, types included. */
function specifiersIn(source: string): string[] {
  const code = source.replace(/\/\*[\s\S]*?\*\/|^\s*\/\/.*$/gm, "");
  const patterns = [
    /^\s*(?:import|export)\b[^"';]*?\bfrom\s*["']([^"']+)["']/gm,
    /^\s*import\s*["']([^"']+)["']/gm,
    /\bimport\s*\(\s*["']([^"']+)["']/g,
    /\brequire\s*\(\s*["']([^"']+)["']/g,
  ];
  return patterns.flatMap((pattern) => [...code.matchAll(pattern)].map((match) => match[1]!));
}

function importsOf(file: string): Import[] {
  const source = readFileSync(join(projectFolder, file), "utf8");
  return specifiersIn(source).map((specifier) => ({
    file,
    to: specifier.startsWith(".")
      ? relative(projectFolder, join(projectFolder, dirname(file), specifier)).replaceAll("\\", "/")
      : specifier,
  }));
}

/** `shared/score/pitch.ts` → `score`; undefined outside the core. */
function coreFolder(path: string): string | undefined {
  return /^shared\/([^/]+)\//.exec(path)?.[1];
}

function stepOf(folder: string): number {
  return steps.findIndex((step) => step.includes(folder));
}

/** Why an import may not be there; undefined when it may. */
function objection({ file, to }: Import): string | undefined {
  const from = coreFolder(file);
  const target = coreFolder(to);
  if (from === undefined) return objectionOutside(file, to, target);
  if (target === undefined) {
    return pureLibraries.includes(to) ? undefined : `the core knows nothing of ${to}`;
  }
  if (target === from) return undefined;
  return stepOf(target) < stepOf(from) ? undefined : `${from} may not lean on ${target}`;
}

function objectionOutside(file: string, to: string, target: string | undefined): string | undefined {
  const [area, folder] = file.split("/") as [string, string];
  if (area === "client") {
    if (to.startsWith("server/")) return "the client starts the server, and never contains it";
    if (target !== undefined && target !== "protocol") return `the client knows only protocol, not ${target}`;
    const inPage = file.startsWith("client/panel/view/");
    if (inPage && (to === "vscode" || to.startsWith("node:"))) return `the page knows nothing of ${to}`;
    return undefined;
  }
  if (to.startsWith("client/") || to === "vscode") return "the server knows nothing of its clients";
  if (folder === "cli" && to.startsWith("server/lsp/"))
    return "the command line and the language server are apart";
  if (folder === "lsp" && to.startsWith("server/cli/"))
    return "the command line and the language server are apart";
  if (folder !== "cli" && folder !== "lsp" && /^server\/(cli|lsp)\//.test(to)) {
    return `${folder} serves the command line and the language server, and knows neither`;
  }
  return undefined;
}

const files = ["shared", "server", "client"].flatMap(sourceFiles);

describe("who may import whom", () => {
  test("every folder of the core is known here", () => {
    const folders = new Set(files.map(coreFolder).filter((folder) => folder !== undefined));
    for (const folder of folders) expect(steps.flat()).toContain(folder);
  });

  test.each(files)("%s", (file) => {
    const broken = importsOf(file).flatMap((each) => {
      const why = objection(each);
      return why === undefined ? [] : [`${file} imports ${each.to}: ${why}.`];
    });
    expect(broken).toEqual([]);
  });

  // What the client takes from the core is a description of messages; not a line of the core runs in it.
  test.each(files.filter((file) => file.startsWith("shared/protocol/")))("%s takes types only", (file) => {
    const source = readFileSync(join(projectFolder, file), "utf8");
    const taken = [...source.matchAll(/^\s*(import|export)\b(?! type\b)[^"';]*?\bfrom\s*["']([^"']+)["']/gm)];
    expect(
      taken.map(([, , specifier]) => specifier).filter((specifier) => !specifier!.startsWith("./")),
    ).toEqual([]);
  });

  test("relative imports name their file with its ending", () => {
    const bare = files.flatMap((file) =>
      specifiersIn(readFileSync(join(projectFolder, file), "utf8"))
        .filter((specifier) => specifier.startsWith(".") && !/\.(tsx?|json|css|mjs)$/.test(specifier))
        .map((specifier) => `${file}: ${specifier}`),
    );
    expect(bare).toEqual([]);
  });
});

describe("what the core may not reach for without an import", () => {
  const forbidden =
    /\b(?:process|Buffer|__dirname|globalThis|fetch|setTimeout|setInterval|performance|console)\b\s*[.([]|\bDate\.now\b|\bnew Date\b|\bMath\.random\b/;

  test.each(files.filter((file) => file.startsWith("shared/")))("%s", (file) => {
    const code = readFileSync(join(projectFolder, file), "utf8").replace(/\/\*[\s\S]*?\*\/|\/\/.*$/gm, "");
    const found = code.split("\n").filter((line) => forbidden.test(line));
    expect(found).toEqual([]);
  });
});

describe("this test itself", () => {
  test("sees every kind of import", () => {
    const source = [
      'import { a } from "./a.ts";',
      "import type {",
      "  B,",
      '} from "../b/b.ts";',
      'import "./c.ts";',
      'export * from "./d.ts";',
      'export type { E } from "./e.ts";',
      'const f = await import("./f.ts");',
      'const g = require("./g.ts");',
      '// import { no } from "./comment.ts";',
      '/* import { no } from "./comment.ts"; */',
    ].join("\n");
    expect(specifiersIn(source)).toEqual(
      expect.arrayContaining(["./a.ts", "../b/b.ts", "./c.ts", "./d.ts", "./e.ts", "./f.ts", "./g.ts"]),
    );
    expect(specifiersIn(source)).toHaveLength(7);
  });

  test.each([
    ["shared/text/edits.ts", "shared/score/model.ts"],
    ["shared/score/model.ts", "shared/harp/strings.ts"],
    ["shared/harp/strings.ts", "shared/score/model.ts"],
    ["shared/fingering/solve.ts", "shared/service/analyse.ts"],
    ["shared/fingering/solve.ts", "node:fs"],
    ["shared/fingering/solve.ts", "fs"],
    ["shared/service/analyse.ts", "vscode"],
    ["shared/service/analyse.ts", "vscode-languageserver"],
    ["shared/service/analyse.ts", "server/cli/check.ts"],
    ["shared/service/analyse.ts", "shared/protocol/commands.ts"],
    ["shared/rules/registry.ts", "shared/protocol/commands.ts"],
    ["server/cli/check.ts", "server/lsp/main.ts"],
    ["server/lsp/main.ts", "server/cli/check.ts"],
    ["server/files/readScoreFile.ts", "server/cli/check.ts"],
    ["server/lsp/main.ts", "vscode"],
    ["client/extension.ts", "shared/service/analyse.ts"],
    ["client/extension.ts", "server/lsp/main.ts"],
    ["client/panel/view/main.ts", "vscode"],
  ])("objects to %s importing %s", (file, to) => {
    expect(objection({ file, to })).toBeDefined();
  });

  test.each([
    ["shared/score/model.ts", "shared/musicxml/element.ts"],
    ["shared/service/analyse.ts", "shared/text/span.ts"],
    ["shared/musicxml/scan.ts", "saxes"],
    ["shared/protocol/panel.ts", "shared/service/analyse.ts"],
    ["server/cli/check.ts", "shared/service/analyse.ts"],
    ["server/cli/check.ts", "server/files/readScoreFile.ts"],
    ["client/extension.ts", "shared/protocol/commands.ts"],
    ["client/extension.ts", "vscode"],
  ])("lets %s import %s", (file, to) => {
    expect(objection({ file, to })).toBeUndefined();
  });
});
