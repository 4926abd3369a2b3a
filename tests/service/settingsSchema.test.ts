import { readFileSync, writeFileSync } from "node:fs";
import { join } from "node:path";
import { Ajv } from "ajv";
import { describe, expect, test } from "vitest";
import { namedProfiles, weightNames } from "../../shared/fingering/profile.ts";
import { rules } from "../../shared/rules/registry.ts";
import { acceptedSchema } from "../../shared/service/acceptedSchema.ts";
import { readJson } from "../../shared/service/jsonSchema.ts";
import { profileSchema, settingsSchema } from "../../shared/service/settingsSchema.ts";
import { projectFolder } from "../support/built.ts";
import { Dice } from "../support/randomLines.ts";

test("the published schema is the one that settings are read by", () => {
  const file = join(projectFolder, "shared/service/settings.schema.json");
  const schema = `${JSON.stringify(settingsSchema, undefined, 2)}\n`;
  if (process.env.PLACEWRIGHT_WRITE === "1") writeFileSync(file, schema);
  expect(
    readFileSync(file, "utf8") === schema,
    "settings.schema.json is old: run this test with PLACEWRIGHT_WRITE=1",
  ).toBe(true);
});

test("the published schema of accepted findings is the one that they are read by", () => {
  const file = join(projectFolder, "shared/service/accepted.schema.json");
  const schema = `${JSON.stringify(acceptedSchema, undefined, 2)}\n`;
  if (process.env.PLACEWRIGHT_WRITE === "1") writeFileSync(file, schema);
  expect(
    readFileSync(file, "utf8") === schema,
    "accepted.schema.json is old: run this test with PLACEWRIGHT_WRITE=1",
  ).toBe(true);
});

test("every rule, named profile and weight is in it", () => {
  const { properties, definitions } = settingsSchema;
  expect(Object.keys(properties!.severity!.properties!)).toEqual(rules.map(({ id }) => id));
  expect(properties!.profile!.anyOf![0]!.enum).toEqual(Object.keys(namedProfiles));
  expect(Object.keys(definitions!.profile!.properties!.weights!.properties!)).toEqual(weightNames);
});

// The other opinion is ajv's, which reads JSON Schema draft 7 as its specification has it.
describe("another reader of JSON Schema", () => {
  const ajv = new Ajv({ strict: false, allErrors: true });
  const schemas = { settings: settingsSchema, profile: profileSchema };

  test("takes and refuses the same accepted findings", () => {
    const validate = ajv.compile(acceptedSchema);
    const entry = { rule: rules[0]!.id, score: "a.xml", place: "0123456789abcdef", reason: "so" };
    const seen = new Set<boolean>();
    for (const change of [
      {},
      { hand: "left", ordinal: 2, finding: "" },
      { rule: "none" },
      { score: "../a.xml" },
      { score: undefined },
      { place: "0" },
      { ordinal: 0 },
      { ordinal: 1.5 },
      { reason: " " },
      { why: "so" },
    ]) {
      const text = JSON.stringify({ accepted: [entry, { ...entry, ...change }] });
      const accepted = validate(JSON.parse(text));
      expect(readJson(text, acceptedSchema).problems.length === 0, text).toBe(accepted);
      seen.add(accepted);
    }
    expect(seen.size).toBe(2);
  });
  const validators = Object.entries(schemas).map(
    ([name, schema]) => [name as keyof typeof schemas, ajv.compile(schema)] as const,
  );

  test("takes the schemas as schemas", () => {
    for (const [name] of validators) {
      ajv.validateSchema(schemas[name]);
      expect(ajv.errors ?? []).toEqual([]);
    }
  });

  test.each(validators)("accepts and refuses the same %s: 3,000 random ones", (name, validate) => {
    const seen = { accepted: 0, refused: 0 };
    for (let seed = 0; seed < 3_000; seed += 1) {
      const value = randomSettings(new Dice(seed));
      const { problems, value: kept } = readJson(JSON.stringify(value), schemas[name]);
      const accepted = validate(value);
      expect(problems.length === 0, `${JSON.stringify(value)}: ${problems[0]?.message}`).toBe(accepted);
      if (accepted) expect(kept).toEqual(value);
      // What is left after the wrong parts are taken out is right.
      if (kept !== undefined) expect(validate(kept), JSON.stringify(kept)).toBe(true);
      seen[accepted ? "accepted" : "refused"] += 1;
    }
    expect(seen.accepted).toBeGreaterThan(50);
    expect(seen.refused).toBeGreaterThan(500);
  });
});

/** Some settings, right ones and wrong ones. */
function randomSettings(dice: Dice): unknown {
  const rightWays: Record<string, readonly unknown[]> = {
    root: [true, false],
    profile: ["usual", "small-hand", { level: 3 }, { hand: "large", weights: { base: 700 } }],
    harp: ["lever-34", { kind: "pedal-47" }, { lowest: "A1", strings: 36, tuning: "Eb", levers: "FC" }],
    tempo: [60, 112.5],
    part: ["P1", ""],
    severity: [{}, { [rules[0]!.id]: "off" }],
    print: [{ fingers: "every" }, { crossings: "nextGroup" }, {}],
    placings: ["brackets", "lines"],
    hands: [{ staves: ["right", "left"] }, { crossStaff: "voice", marks: "follow" }],
    levels: [[], [{ name: "first", atMost: { fingers: 3 }, atLeast: { replacingMilliseconds: 500 } }]],
    overrides: [[], [{ files: "drafts/**", tempo: 60 }], [{ files: ["a.mxl", "b/*.xml"] }]],
    level: [2, 3, 4],
    hand: ["small"],
    slides: ["never", "propose"],
    weights: [{}, { "stretch.1-2.4": 100 }],
    spacingMm: [13.5],
  };
  const wrongWays: readonly unknown[] = [
    5,
    2.5,
    -1,
    "tiny",
    "/abs",
    "../up",
    null,
    true,
    [],
    [1],
    {},
    { level: 5 },
    { hand: 1 },
    { lowest: "H1", strings: 36 },
    { lowest: "A1" },
    { "no-such": "off" },
    [{ tempo: 60 }],
    [{ name: "", atMost: { crossings: -1 } }],
    [{ files: [] }],
    [{ files: "c:\\scores" }],
    { weights: { bass: 1 } },
    { weights: { base: 0.5 } },
  ];
  if (dice.chance(0.03)) return dice.oneOf(wrongWays);
  const settings: Record<string, unknown> = {};
  for (const name of Object.keys(rightWays)) {
    if (dice.chance(0.8)) continue;
    const key = dice.chance(0.05) ? `${name}s` : name;
    settings[key] = dice.chance(0.2) ? dice.oneOf(wrongWays) : dice.oneOf(rightWays[name]!);
  }
  return settings;
}
