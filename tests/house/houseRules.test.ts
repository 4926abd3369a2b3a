import { mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, onTestFinished, test } from "vitest";
import { HouseRules, type HouseTrouble } from "../../server/house/houseRules.ts";
import { builtFile } from "../support/built.ts";
import { builtPlacewright, temporaryFolder } from "../support/commandLine.ts";
import { tinyScore } from "../support/tinyScore.ts";

const { text } = tinyScore("C4:1 D4:2 E4:3");

/** A module with rules whose checks are these sources; each finds something at the fingers. */
function moduleOf(checks: Readonly<Record<string, string>>): string {
  const rules = Object.entries(checks).map(
    ([name, check]) => `{
      id: "test/${name}", severity: "warning", summary: "A test.", why: "To see it.",
      bad: "C4:1", good: "C4", fixes: [{ title: "Change it", safety: "safe" }],
      check({ text, hands }, report) { ${check} },
    }`,
  );
  return `export default [${rules.join(",\n")}];\n`;
}

/** A finding at the first finger, with a repair. */
const reportWith = (edits: string): string =>
  `const { span } = hands[0].line.events[0].notes[0].note.fingerings[0];
   report({ span, message: "It is here.", at: { hand: hands[0], event: 0 },
     fixes: [{ title: "Change it", safety: "safe", edits: () => ${edits} }] });`;

const honest = reportWith(
  `[{ span: { start: span.start, end: span.end }, text: "<fingering>2</fingering>" }]`,
);

function house(
  source: string,
  ruleMs = 10_000,
): { find: () => Promise<string[]>; troubles: HouseTrouble[]; path: string } {
  const path = join(temporaryFolder(), "rules.mjs");
  writeFileSync(path, source);
  const troubles: HouseTrouble[] = [];
  const rules = new HouseRules(builtFile("cli.cjs"), (trouble) => troubles.push(trouble), ruleMs);
  onTestFinished(() => rules.end());
  const find = async (): Promise<string[]> =>
    (await rules.find([path], text, {})).map(({ rule, message }) => `${rule}: ${message}`);
  return { find, troubles, path };
}

test("what a rule finds comes back as plain data, with its edits", async () => {
  const path = join(temporaryFolder(), "rules.mjs");
  writeFileSync(path, moduleOf({ honest }));
  const rules = new HouseRules(builtFile("cli.cjs"), (trouble) => expect(trouble).toBeUndefined());
  onTestFinished(() => rules.end());
  const [finding] = await rules.find([path], text, {});
  const start = text.indexOf("<fingering");
  expect(finding).toMatchObject({
    rule: "test/honest",
    hand: "right",
    bar: "1",
    beat: "1",
    severity: "warning",
  });
  expect(finding!.span.start).toBe(start);
  expect(finding!.fixes[0]!.edits).toEqual([{ span: finding!.span, text: "<fingering>2</fingering>" }]);
});

describe("a bad rule is told once and switched off, and the others go on", () => {
  const note = text.indexOf("<step>C") + "<step>".length;
  test.each<[string, string, RegExp]>([
    [
      "throws",
      'throw new Error("oh no");',
      /^The house rule test\/bad is switched off\. It threw an error: oh no\.$/,
    ],
    ["loops for ever", "for (;;);", /did not come to an end within 1 seconds/],
    [
      "loops for ever in a repair",
      reportWith("{ for (;;); }").replace("() => {", "() => {"),
      /did not come to an end/,
    ],
    ["ends its thread", "process.exit(3);", /ended the thread/],
    [
      "edits a note",
      reportWith(`[{ span: { start: ${note}, end: ${note + 1} }, text: "D" }]`),
      /would change more than fingering/,
    ],
    [
      "edits the whole text away",
      reportWith("[{ span: { start: 0, end: text.length }, text: '' }]"),
      /would change more than fingering/,
    ],
    [
      "edits outside the text",
      reportWith("[{ span: { start: 5, end: text.length + 9 }, text: '' }]"),
      /no place in a text/,
    ],
    ["edits at no number", reportWith("[{ span: { start: NaN, end: '7' }, text: '' }]"), /from NaN to "7"/],
    ["edits without text", reportWith("[{ span: { start: 5, end: 6 } }]"), /has no text/],
    ["edits one place twice", reportWith("[{ span, text: '' }, { span, text: '' }]"), /overlap/],
    ["edits that are none", reportWith('"everything"'), /a list is expected/],
    ["points nowhere", 'report({ span: { start: -1, end: 2 }, message: "x" });', /no place in a text/],
    ["says nothing", "report({ span: { start: 0, end: 1 } });", /message is text, not undefined/],
    [
      "finds without end",
      'for (let i = 0; i < 20000; i += 1) report({ span: { start: 0, end: 1 }, message: "x" });',
      /20000 places/,
    ],
    [
      "takes the music away from the others",
      "hands[0].line.events.length = 0;",
      /It threw an error: Cannot assign to read only property/,
    ],
    ["gives the notes other fingers", "hands[0].fingers[0][0] = 4;", /read only/],
    ["needs a bottomless stack", "const deep = () => 1 + deep(); deep();", /Maximum call stack/],
    ["throws nothing at all", "throw null;", /It threw an error: null/],
    [
      "needs endless memory",
      "for (const all = []; ; ) all.push(new Array(1e6).fill(all.length));",
      /did not come to an end|needs more memory|ended/,
    ],
    [
      "takes its time",
      "return (async () => { throw new Error('later'); })();",
      /Its check is asynchronous; a check reports what it finds before it returns\./,
    ],
    [
      "sends nonsense by itself",
      'require("node:worker_threads")',
      /It threw an error: require is not defined/,
    ],
  ])("%s", async (_, bad, message) => {
    const { find, troubles, path } = house(moduleOf({ bad, honest }), 1_000);
    expect(await find()).toEqual(["test/honest: It is here."]);
    expect(await find()).toEqual(["test/honest: It is here."]);
    expect(troubles).toHaveLength(1);
    expect(troubles[0]).toMatchObject({ path, rule: "test/bad" });
    expect(troubles[0]!.message).toMatch(message);
  });

  test("a module that cannot be loaded, hangs while it is, or has no rule of the right kind", async () => {
    for (const [source, message] of [
      ["export const x = ;", /could not be loaded/],
      ["for (;;);", /did not come to an end/],
      ["await new Promise(() => {}); export const x = 1;", /did not come to an end/],
      ["export const x = 1;", /it exports no rule/],
      ['export default { id: "fingers" };', /two names with a slash/],
      [
        moduleOf({ same: honest, again: honest }).replace("test/again", "Test/Again"),
        /two names with a slash/,
      ],
      [
        moduleOf({ honest }).replace('severity: "warning"', 'severity: "deadly"'),
        /error, warning or info, not "deadly"/,
      ],
      [moduleOf({ honest }).replace("check(", "chek("), /no function "check"/],
    ] as const) {
      const { find, troubles } = house(source, 1_000);
      expect(await find()).toEqual([]);
      expect(await find()).toEqual([]);
      expect(troubles.map((trouble) => trouble.message)).toEqual([expect.stringMatching(message)]);
    }
  });

  test("messages forged past the rule are checked all the same", async () => {
    const forged = `import { parentPort } from "node:worker_threads";
      ${moduleOf({ honest: `parentPort.postMessage({ path: "elsewhere", rule: "test/honest", found: [{ span: { start: 0, end: 9e9 } }] }); ${honest}` })}`;
    const { find, troubles } = house(forged);
    expect(await find()).toEqual(["test/honest: It is here."]);
    expect(troubles).toEqual([]);
  });

  test("a module that is saved anew gets another chance", async () => {
    const { find, troubles, path } = house(moduleOf({ bad: 'throw new Error("oh no");' }));
    expect(await find()).toEqual([]);
    writeFileSync(path, moduleOf({ bad: honest }));
    expect(await find()).toEqual(["test/bad: It is here."]);
    expect(troubles).toHaveLength(1);
  });
});

describe("on the command line", () => {
  function folder(rules: string, settings: object = {}): string {
    const at = temporaryFolder();
    mkdirSync(join(at, "house-rules"));
    writeFileSync(join(at, "house-rules", "rules.mjs"), rules);
    writeFileSync(join(at, "score.musicxml"), text);
    writeFileSync(
      join(at, "placewright.json"),
      JSON.stringify({ root: true, plugins: ["./house-rules/rules.mjs"], ...settings }),
    );
    return at;
  }

  const check = (cwd: string, ...args: string[]) =>
    builtPlacewright(["check", "score.musicxml", "--no-cache", ...args], { cwd });

  test("they are run only when it is allowed, and a note says so", async () => {
    const cwd = folder(moduleOf({ honest }));
    const without = await check(cwd);
    expect(without.out).not.toContain("test/honest");
    expect(without.err).toContain(`note: house rules were not run: ${join("house-rules", "rules.mjs")}.`);
    const allowed = await check(cwd, "--allow-plugins");
    expect(allowed.out).toMatch(/^score\.musicxml:\d+:\d+: warning test\/honest: It is here\.$/m);
    expect(allowed.err).not.toContain("not run");
    expect(allowed.code).toBe(1);
  });

  test("severity, accepting and every format know them", async () => {
    const cwd = folder(moduleOf({ honest }), { severity: { "test/honest": "error" } });
    expect((await check(cwd, "--allow-plugins")).out).toContain("error test/honest");
    const sarif = JSON.parse((await check(cwd, "--allow-plugins", "--format", "sarif")).out);
    const [{ tool, results }] = sarif.runs;
    const result = results.find(({ ruleId }: { ruleId: string }) => ruleId === "test/honest");
    expect(tool.driver.rules[result.ruleIndex].id).toBe("test/honest");
    const json = JSON.parse((await check(cwd, "--allow-plugins", "--format", "json")).out);
    const found = json.files[0].findings.find(({ rule }: { rule: string }) => rule === "test/honest");
    expect(found).toMatchObject({ fixes: [{ title: "Change it", safety: "safe" }], bar: "1" });
    const accepted = await check(cwd, "--allow-plugins", "--accept", "test/honest", "--reason", "so");
    expect(accepted.out).not.toContain("test/honest");
    expect((await check(cwd)).out).not.toContain("nothing of the kind");
    writeFileSync(
      join(cwd, "placewright.json"),
      JSON.stringify({
        root: true,
        plugins: ["./house-rules/rules.mjs"],
        severity: { "test/honest": "off" },
      }),
    );
    expect((await check(cwd, "--allow-plugins")).out).not.toContain("test/honest");
  });

  test("their pages are like those of the others", async () => {
    const cwd = folder(moduleOf({ honest }));
    const page = await builtPlacewright(["rules", "test/honest", "--allow-plugins"], { cwd });
    expect(page.out).toContain("test/honest (warning)\n\nA test.\nTo see it.\n");
    expect(page.out).toContain("Change it");
    expect((await builtPlacewright(["rules", "--allow-plugins"], { cwd })).out).toMatch(
      /^test\/honest +warning +A test\.$/m,
    );
    expect((await builtPlacewright(["rules", "test/honest"], { cwd })).code).toBe(2);
  });

  test("a bad one is a problem of its module, and the score stays as it is", async () => {
    const cwd = folder(moduleOf({ bad: 'console.log("{"); throw new Error("oh no");', honest }));
    const { out, code } = await check(cwd, "--allow-plugins", "--format", "json");
    const { files } = JSON.parse(out);
    expect(files[1]).toMatchObject({ path: join("house-rules", "rules.mjs") });
    expect(files[1].problems[0].message).toContain("test/bad is switched off");
    expect(code).toBe(2);
    expect(readFileSync(join(cwd, "score.musicxml"), "utf8")).toBe(text);
  });

  test("bad ones of every kind at once: each is told, and file and findings are as without them", {
    timeout: 180_000,
  }, async () => {
    const at = text.indexOf("<step>C") + "<step>".length;
    const span = `{ start: ${at}, end: ${at + 1} }`;
    const cwd = folder(
      moduleOf({
        throws: 'throw new Error("oh no");',
        loops: "for (;;);",
        nonsense: reportWith("[{ span: { start: 5, end: 1e9 }, text: '' }]"),
        notes: reportWith(`[{ span: ${span}, text: "D" }]`),
        honest,
      }),
    );
    const findings = async (...args: string[]) => {
      const { out } = await check(cwd, "--format", "json", ...args);
      const { files } = JSON.parse(out);
      return { own: files[0].findings, troubles: files.slice(1) };
    };
    const { own, troubles } = await findings("--allow-plugins");
    const told = (await check(cwd, "--allow-plugins")).out;
    for (const name of ["throws", "loops", "nonsense", "notes"]) {
      expect(told.split(`test/${name} is switched off`), name).toHaveLength(2);
    }
    expect(troubles).toHaveLength(4);
    const isHouse = ({ rule }: { rule: string }): boolean => rule.startsWith("test/");
    expect(own.filter(isHouse).map(({ rule }: { rule: string }) => rule)).toEqual(["test/honest"]);
    expect(own.filter((each: { rule: string }) => !isHouse(each))).toEqual((await findings()).own);
    expect(readFileSync(join(cwd, "score.musicxml"), "utf8")).toBe(text);
  });

  test("a module that is not there, and a path that is none", async () => {
    const cwd = folder(moduleOf({ honest }), { plugins: ["./none.mjs", "/etc/passwd.mjs"] });
    const { out, code } = await check(cwd, "--allow-plugins");
    expect(out).toMatch(
      /none\.mjs:1:1: error house-rules: These house rules are switched off\. It could not be loaded/,
    );
    expect(out).toMatch(/placewright\.json:1:\d+: error \S+ A module is named by its path from this file/);
    expect(code).toBe(2);
  });
});
