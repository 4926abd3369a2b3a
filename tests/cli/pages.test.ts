import { readFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { rules } from "../../shared/rules/registry.ts";
import { projectFolder } from "../support/built.ts";
import { builtPlacewright, placewright } from "../support/commandLine.ts";

const readme = readFileSync(join(projectFolder, "README.md"), "utf8");

/** What the page tells people to type, from its blocks: the arguments of every `placewright …` and `node dist/cli.cjs …`. */
const calls = [...readme.matchAll(/^(?:\$ )?(?:placewright|node dist\/cli\.cjs) ([^#\n]+)/gm)].map((match) =>
  match[1]!.replace(/ [<>].*$/, "").trim(),
);

describe("the page for users", () => {
  test("has the calls that this test looks for", () => {
    expect(calls.length).toBeGreaterThan(10);
  });

  test.each(calls)("placewright %s", async (call) => {
    const [command, ...args] = call.split(/\s+/);
    if (command!.startsWith("--")) {
      expect((await placewright([command!])).code).toBe(0);
      return;
    }
    const help = await placewright([command!, "--help"]);
    expect(help.code).toBe(0);
    for (const option of args.filter((arg) => arg.startsWith("--"))) {
      expect(help.out).toMatch(new RegExp(`^  ${option}\\b`, "m"));
    }
  });

  test("tells every option of check and finger, and no other", async () => {
    for (const command of ["check", "finger"]) {
      const section = new RegExp(`### \`placewright ${command} .*?(?=\\n### )`, "s").exec(readme)![0];
      // The first cell of a row names one option or several.
      const cells = [...section.matchAll(/^\| (`--[^|]*)/gm)].map(([, cell]) => cell!);
      const told = cells.flatMap((cell) => [...cell.matchAll(/`(--[a-z-]+)/g)].map((match) => match[1]));
      const { out } = await placewright([command, "--help"]);
      const known = [...out.matchAll(/^ {2}(--[a-z-]+)/gm)].map((match) => match[1]);
      expect(told.sort()).toEqual(known.filter((option) => option !== "--help").sort());
    }
  });

  test("names only rules that there are", () => {
    const named = [...readme.matchAll(/\b(?:error|warning|info) ([a-z]+(?:-[a-z]+)+):/g)].map(
      (match) => match[1],
    );
    expect(named.length).toBeGreaterThan(0);
    for (const id of named.filter((id) => id !== "rule-id"))
      expect(rules.map((rule) => rule.id)).toContain(id);
  });

  test("shows what the demo really says", async () => {
    const block = /## Try it[\s\S]*?```\n(\$ [\s\S]*?)```/.exec(readme)![1]!;
    for (const part of block.split(/^\$ node dist\/cli\.cjs /m).slice(1)) {
      const [call, ...shown] = part.trimEnd().split("\n");
      // Where the result goes does not matter here: nothing is to be written.
      const args = call!.replace(/ --out \S+/, "").split(" ");
      const { out, err } = await builtPlacewright(args, { cwd: projectFolder });
      const said = `${out}${err}`.split("\n");
      for (const line of shown.filter(
        (each) => each !== "" && each !== "..." && !each.includes(": written to "),
      )) {
        expect(said, "the program says otherwise now; copy its lines into README.md").toContain(line);
      }
    }
  });
});
