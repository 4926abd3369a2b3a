import { existsSync, mkdirSync, readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { describe, expect, test } from "vitest";
import { placewright, temporaryFolder } from "../support/commandLine.ts";
import { reserialised } from "../support/reserialised.ts";
import { tinyScore } from "../support/tinyScore.ts";

const rule = "finger-outside-range";
/** Two wrong fingers, in bars 1 and 3. */
const wrong = tinyScore("C4:1 D4:5 E4:2/3 | C4:2 D4:1/3.5 | G4:6 F4:2/3.5").text;
const fileName = "placewright.accepted.json";

/** A folder with `songs/a.musicxml`, and settings that keep those of the machine out. */
function songs(score = wrong): { folder: string; score: string; beside: string; above: string } {
  const folder = temporaryFolder();
  mkdirSync(join(folder, "songs"));
  writeFileSync(join(folder, "songs/a.musicxml"), score);
  writeFileSync(join(folder, "placewright.json"), '{ "root": true }');
  return {
    folder,
    score: join(folder, "songs/a.musicxml"),
    beside: join(folder, "songs", fileName),
    above: join(folder, fileName),
  };
}

const accept = (score: string, ...more: string[]) => placewright(["check", score, "--accept", rule, ...more]);
const entriesIn = (path: string): Record<string, unknown>[] =>
  JSON.parse(readFileSync(path, "utf8")).accepted;
const count = (text: string, word: string): number => text.split(word).length - 1;

describe("check --accept", () => {
  test("writes the entry beside the score, checks, and leaves the finding out from then on", async () => {
    const { score, beside } = songs();
    const { code, out, err } = await accept(score, "--bars", "1", "--reason", "as in the old edition");
    expect(count(out, rule)).toBe(1);
    expect(code).toBe(1);
    expect(err).toContain(`1 finding of ${rule} accepted, 1 entry in all.`);
    expect(entriesIn(beside)).toEqual([
      {
        rule,
        score: "a.musicxml",
        hand: "right",
        place: expect.stringMatching(/^[0-9a-f]{16}$/),
        finding: expect.stringMatching(/^D4 is marked with finger 5/),
        reason: "as in the old edition",
      },
    ]);
    expect(readFileSync(score, "utf8")).toBe(wrong);

    await accept(score, "--bars", "2-3", "--hand", "right", "--reason", "too");
    expect(entriesIn(beside)).toHaveLength(2);
    const after = await placewright(["check", score]);
    expect(after.out).not.toContain(rule);
    expect(after.err).toContain("; 2 accepted.");
    const { files } = JSON.parse((await placewright(["check", score, "--format", "json"])).out);
    expect(files.map(({ accepted }: { accepted: number }) => accepted)).toEqual([2]);
  });

  test("adds to the nearest file upwards, which names scores from its own folder", async () => {
    const { score, above, beside } = songs();
    writeFileSync(above, '{\n    "accepted": []\n}\n');
    await accept(score, "--bars", "1-3", "--reason", "both");
    expect(existsSync(beside)).toBe(false);
    expect(entriesIn(above).map((entry) => entry.score)).toEqual(["songs/a.musicxml", "songs/a.musicxml"]);
    expect((await placewright(["check", score])).out).not.toContain(rule);
  });

  test("what was accepted stays so in a file that another program has written, and comes back with other fingers", async () => {
    const { score, beside } = songs();
    await accept(score, "--bars", "1-3", "--reason", "both");
    writeFileSync(score, reserialised(wrong));
    const rewritten = await placewright(["check", score]);
    expect(rewritten.out).not.toContain(rule);
    expect(rewritten.out).not.toContain(fileName);
    writeFileSync(score, wrong.replace(">6<", ">7<"));
    const { code, out } = await placewright(["check", score]);
    expect(code).toBe(1);
    expect(out).toContain(`error ${rule}: G4 is marked with finger 7`);
    const text = readFileSync(beside, "utf8").split("\n");
    const second = text.findIndex((line, i) => line === "    {" && i > 3) + 1;
    expect(out).toContain(
      `${beside}:${second}:5: warning accepted: Nothing that ${rule} finds in a.musicxml fits this entry`,
    );
  });

  test.each([
    [["--bars", "1"], "--accept needs a reason"],
    [["--bars", "1", "--reason", " "], "--accept needs a reason"],
    [["--reason", "x"], "has 2 findings, in bars 1, 3. Say which are meant: --bars FROM-TO."],
    [
      ["--reason", "x", "--bars", "2"],
      "has found nothing there that is not accepted. It has findings in: 1, 3.",
    ],
    [["--reason", "x", "--bars", "1", "--hand", "left"], "has found nothing there"],
    [["--reason", "x", "--bars", "9"], 'there is no bar "9"'],
  ])("%s is refused, and nothing is written", async (more, message) => {
    const { score, beside } = songs();
    const { code, out, err } = await accept(score, ...more);
    expect({ code, out }).toEqual({ code: 2, out: "" });
    expect(err).toContain(message);
    expect(existsSync(beside)).toBe(false);
  });

  test("a rule that there is not, a folder, standard input, and options without it are refused", async () => {
    const { folder, score } = songs();
    const refused = async (args: string[]): Promise<string> => {
      const { code, err } = await placewright(["check", ...args], wrong);
      expect(code).toBe(2);
      return err;
    };
    const reason = ["--reason", "x", "--bars", "1"];
    expect(await refused([score, "--accept", "finger-outside-rang", ...reason])).toContain(
      `Did you mean ${rule}?`,
    );
    expect(await refused([folder, "--accept", rule, ...reason])).toContain("name its file, and no folder");
    expect(await refused(["-", "--accept", rule, ...reason])).toContain("name its file");
    expect(await refused([score, score, "--accept", rule, ...reason])).toContain("about one score");
    expect(await refused([score, "--reason", "x"])).toContain("--reason goes with --accept RULE.");
  });

  test("a file that is no list of accepted findings stays as it is", async () => {
    const { score, beside } = songs();
    writeFileSync(beside, "{ oops");
    const { code, err } = await accept(score, "--bars", "1", "--reason", "x");
    expect(code).toBe(2);
    expect(err).toContain(`${fileName} cannot be added to`);
    expect(readFileSync(beside, "utf8")).toBe("{ oops");
  });
});

describe("files of accepted findings", () => {
  test("wrong entries are named with line and column, end with 2, and the others count", async () => {
    const { score, beside } = songs();
    await accept(score, "--bars", "1-3", "--reason", "both");
    const [first, second] = entriesIn(beside);
    const lines = [
      "{",
      '  "accepted": [',
      `    ${JSON.stringify(first)},`,
      `    ${JSON.stringify({ ...second, reason: "" })},`,
      `    ${JSON.stringify({ ...second, rule: "finger-outside-rang" })},`,
      `    ${JSON.stringify({ rule, score: "a.musicxml" })}`,
      "  ],",
      '  "accept": 5',
      "}",
    ];
    writeFileSync(beside, lines.join("\n"));
    const { code, out } = await placewright(["check", score]);
    expect(code).toBe(2);
    const column = lines[3]!.indexOf('"reason":') + '"reason":'.length + 1;
    expect(out).toContain(`${beside}:4:${column}: error reading: Say why it is meant to be as it is.`);
    expect(out).toMatch(/accepted\.json:5:\d+: error reading: .*Did you mean "finger-outside-range"\?/);
    expect(out).toMatch(/accepted\.json:6:5: error reading: .*needs "place" and "reason"/);
    expect(out).toMatch(
      /accepted\.json:8:3: error reading: There is no "accept"\. Did you mean "accepted"\?/,
    );
    expect(count(out, "is marked with finger")).toBe(1);
  });

  test("an entry of a score that is not there is told, one of a score that is not checked is not", async () => {
    const { folder, score, above } = songs();
    writeFileSync(above, '{ "accepted": [] }');
    await accept(score, "--bars", "1-3", "--reason", "both");
    const [entry] = entriesIn(above);
    writeFileSync(join(folder, "songs/b.musicxml"), tinyScore("C4:1").text);
    const rewritten = { accepted: [{ ...entry, score: "songs/c.musicxml" }, entry] };
    writeFileSync(above, JSON.stringify(rewritten));
    const { out } = await placewright(["check", join(folder, "songs/b.musicxml")]);
    expect(count(out, "warning accepted")).toBe(1);
    expect(out).toContain("There is no songs/c.musicxml beside this file.");
  });

  test("a score that cannot be read says nothing about its entries", async () => {
    const { score } = songs();
    await accept(score, "--bars", "1-3", "--reason", "both");
    writeFileSync(score, wrong.replace("</part>", ""));
    const { code, out } = await placewright(["check", score]);
    expect(code).toBe(2);
    expect(out).not.toContain("warning accepted");
  });
});
