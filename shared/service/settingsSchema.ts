import { fractionalWeights, greatestWeight, type namedProfiles, weightNames } from "../fingering/profile.ts";
import { harpPresets } from "../harp/instruments.ts";
import { spacingLimitsMm } from "../harp/spacing.ts";
import { openTunings } from "../harp/tunings.ts";
import { houseIdPattern } from "../rules/house.ts";
import { rules } from "../rules/registry.ts";
import type { JsonSchema } from "./jsonSchema.ts";
import { greatestFacts, leastFacts } from "./levelLabel.ts";

function choice(description: string, choices: Readonly<Record<string, string>>, usual?: string): JsonSchema {
  return {
    description,
    type: "string",
    enum: Object.keys(choices),
    enumDescriptions: Object.values(choices),
    ...(usual === undefined ? {} : { default: usual }),
  };
}

function settings(properties: Readonly<Record<string, JsonSchema>>, description: string): JsonSchema {
  return { description, type: "object", properties, additionalProperties: false };
}

function limits(facts: Readonly<Record<string, string>>, description: string): JsonSchema {
  const limit = (fact: string): JsonSchema => ({
    description: fact,
    type: "number",
    minimum: 0,
    maximum: 1_000_000,
  });
  return settings(
    Object.fromEntries(Object.entries(facts).map(([name, fact]) => [name, limit(fact)])),
    description,
  );
}

const harpNames: JsonSchema = {
  description: "A kind of harp.",
  type: "string",
  enum: harpPresets.map(({ name }) => name),
  enumDescriptions: harpPresets.map(({ title }) => title),
};

const spacingMm: JsonSchema = {
  description: "From the middle of one string to the middle of the next, at middle C, in millimetres.",
  type: "number",
  minimum: spacingLimitsMm.least,
  maximum: spacingLimitsMm.most,
  default: 15,
};

const weights = settings(
  Object.fromEntries(
    weightNames.map((name): [string, JsonSchema] => [
      name,
      {
        type: fractionalWeights.includes(name) ? "number" : "integer",
        minimum: 0,
        maximum: greatestWeight,
      },
    ]),
  ),
  "Single weights in place of those that the rest of the profile gives: costs in thousandths, names that end in Micros in microseconds, widths in steps from string to string.",
);

const profile = settings(
  {
    level: {
      description: "How many fingers the player uses, the thumb included.",
      type: "integer",
      enum: [2, 3, 4],
      default: 4,
    },
    hand: choice(
      "How far the hand reaches.",
      {
        small: "Each pair of fingers spans a step less.",
        medium: "A tenth is comfortable, a twelfth the utmost.",
        large: "Each pair of fingers spans a step more.",
      },
      "medium",
    ),
    spacingMm,
    harp: {
      ...harpNames,
      description: "The kind of harp whose spacing counts, when spacingMm is not given.",
    },
    fifths: choice("The fingers of a fifth.", { "1-3": "1 and 3", "1-2": "1 and 2" }, "1-3"),
    closeTriad: choice(
      "The fingers of a close triad with the fourth at the bottom, G C E.",
      { "3 2 1": "3 2 1", "4 2 1": "4 2 1" },
      "3 2 1",
    ),
    comingOff: choice(
      "How readily the hand comes off the strings.",
      {
        usual: "On notes of about a second that are long among their neighbours, and on rests.",
        often: "On shorter notes too: three quarters of a second.",
        late: "Stays on the strings through notes of nearly one and a half seconds.",
      },
      "usual",
    ),
    crossing: choice(
      "How runs of more than four notes are divided.",
      {
        usual: "With as few crossings as can be, of those the easier.",
        threes: "Groups of three: 3 goes under, even where that takes a crossing more.",
        fours: "Groups of four wherever they fit.",
        avoidFourth: "No crossing with 4, and 4 only where no other finger serves.",
      },
      "usual",
    ),
    singleNote: choice(
      "The finger of a note that stands alone.",
      { second: "2", thumb: "1, for melody" },
      "second",
    ),
    lowLeft: choice(
      "The finger of a note below C3 that stands alone in the left hand.",
      { fourth: "4", third: "3", second: "2" },
      "fourth",
    ),
    repeatedNote: choice(
      "The finger of a string that is plucked again at once.",
      {
        bySpeed: "The same while there is time, another when it is fast.",
        same: "The same wherever it can be played.",
        alternate: "Always another.",
      },
      "bySpeed",
    ),
    slides: choice(
      "Where a finger may slide on to the next string: the thumb down, 4 up.",
      {
        never: "Nowhere, not even where it is printed.",
        asWritten: "Where the print has the same finger on both notes.",
        propose: "Anywhere.",
      },
      "asWritten",
    ),
    weights,
  },
  "Who plays: hand, level, school. What is left out is as usual.",
);

const harp: JsonSchema = {
  ...settings(
    {
      kind: harpNames,
      lowest: {
        description: "The lowest string: letter and octave, middle C is C4.",
        type: "string",
        pattern: "^[A-G][0-9]$",
        errorMessage: "The lowest string is a letter and an octave, such as A1; middle C is C4.",
      },
      strings: { description: "How many strings it has.", type: "integer", minimum: 1, maximum: 60 },
      mechanism: choice(
        "What changes the pitch of its strings.",
        { lever: "levers", pedal: "pedals" },
        "lever",
      ),
      spacingMm,
      tuning: choice(
        "The major scale that the open strings of a lever harp give.",
        Object.fromEntries(openTunings.map(({ name, title }) => [name, title])),
        "Eb",
      ),
      levers: {
        description: "The letters whose strings have levers, such as FCB; every string has one without it.",
        type: "string",
        pattern: "^[A-G]*$",
        errorMessage: "The letters of the strings that have levers, such as FCB.",
      },
    },
    "The harp that is played: a kind, or the lowest string and how many there are.",
  ),
  anyOf: [{ required: ["kind"] }, { required: ["lowest", "strings"] }],
  errorMessage: 'Describe the harp by its "kind", or by its "lowest" string and how many "strings" it has.',
};

const profileNames = choice("A profile by its name.", {
  usual: "A medium hand with four fingers.",
  "two-fingers": "A beginner who uses 1 and 2.",
  "three-fingers": "A beginner who uses 1, 2 and 3.",
  "small-hand": "Spans are a step narrower.",
  "large-hand": "Spans are a step wider.",
} satisfies Record<keyof typeof namedProfiles, string>);

const severities: JsonSchema = { type: "string", enum: ["off", "info", "warning", "error"] };

/** What a file of settings may say, and each of its exceptions too. */
const common: Readonly<Record<string, JsonSchema>> = {
  profile: {
    description: "Who plays: a profile's name, or hand, level and school.",
    anyOf: [profileNames, { $ref: "#/definitions/profile" }],
  },
  harp: {
    description: "The harp that is played.",
    anyOf: [harpNames, { $ref: "#/definitions/harp" }],
  },
  tempo: {
    description: "The tempo of scores that state none, in quarter notes a minute.",
    type: "number",
    minimum: 10,
    maximum: 400,
    default: 96,
  },
  part: { description: "Id or name of the harp's part, when the score does not say.", type: "string" },
  severity: {
    ...settings(
      Object.fromEntries(
        rules.map(({ id, summary, severity }): [string, JsonSchema] => [
          id,
          { description: summary, ...severities, default: severity },
        ]),
      ),
      "How grave the findings of a rule are, or off.",
    ),
    patternProperties: {
      [houseIdPattern]: { description: "A rule of the house: see plugins.", ...severities },
    },
  },
  print: settings(
    {
      fingers: choice(
        "How many fingers are printed, and so which ones are missing.",
        {
          every: "One for every note.",
          decisions:
            "Only those that the bracket, or the chord, and the fingers under it leave open, and none on a string that is plucked again at once.",
        },
        "every",
      ),
      crossings: choice(
        "How the bracket of a group after a crossing is printed.",
        {
          fromPivot: "From the note before the crossing, so that it is told from coming off.",
          nextGroup: "Over the group only; the fingers tell the crossing.",
          smallBracket: "Over the group, and a small bracket over the two notes of the crossing.",
        },
        "fromPivot",
      ),
      pedalWords: choice(
        "How notes are named in words about pedals and levers.",
        { letters: "By letters: F♯ C♮.", syllables: "By syllables: Fa ♯ Do ♮." },
        "letters",
      ),
      pedalChanges: choice(
        "How changes of pedals are written; the setting before the first note is a diagram in any case.",
        {
          words: "In words where they are made.",
          large: "In a diagram where three or more move at one place, else in words.",
          diagrams: "In a diagram of all pedals each time.",
        },
        "words",
      ),
    },
    "How fingering is printed, and what is written about pedals and levers.",
  ),
  placings: choice(
    "What is read as a placing.",
    {
      brackets: "Brackets with hooks at both ends.",
      lines: "Brackets without hooks too, as long as no words belong to them.",
    },
    "brackets",
  ),
  hands: settings(
    {
      staves: {
        description: "The hand of each staff, from the top.",
        type: "array",
        items: { type: "string", enum: ["right", "left"] },
        minItems: 1,
      },
      crossStaff: choice(
        "Whose a note is whose voice has crossed to the other staff.",
        {
          auto: "The voice's own hand's, where the staff has other notes in the same bar.",
          staff: "The hand's whose staff it stands on.",
          voice: "The voice's own hand's.",
        },
        "auto",
      ),
      marks: choice(
        "What words such as r.h. or m.g. do.",
        { follow: "They say which hand plays.", ignore: "They change nothing." },
        "follow",
      ),
    },
    "Which hand plays what, where the score is not to be followed.",
  ),
  levels: {
    description:
      "Your own names for how hard a piece is for the hands, the easiest first: the first one whose limits all hold is a piece's. There are none unless you give some.",
    type: "array",
    items: {
      ...settings(
        {
          name: { description: "What the level is called.", type: "string", pattern: "\\S" },
          atMost: limits(greatestFacts, "What a piece of this level asks for at most."),
          atLeast: limits(leastFacts, "What a piece of this level leaves at least."),
        },
        "A level.",
      ),
      required: ["name"],
    },
  },
};

const files: JsonSchema = {
  description:
    "Which scores: patterns relative to this file's folder, such as drafts/** or *.mxl. One without a slash is about names in all folders.",
  anyOf: [
    { $ref: "#/definitions/pattern" },
    {
      description: "Several patterns.",
      type: "array",
      items: { $ref: "#/definitions/pattern" },
      minItems: 1,
    },
  ],
};

/** The schema of `placewright.json`; printed to `settings.schema.json`, which is published. */
export const settingsSchema: JsonSchema = {
  $schema: "http://json-schema.org/draft-07/schema#",
  title: "Settings of Placewright",
  ...settings(
    {
      $schema: { description: "Where this schema lies, for editors.", type: "string" },
      root: {
        description: "True when settings of the folders above do not count.",
        type: "boolean",
        default: false,
      },
      plugins: {
        description:
          "Modules with rules of the house, as paths from this file. They are run only when you allow it: with --allow-plugins, or in a trusted folder of the editor.",
        type: "array",
        items: { $ref: "#/definitions/module" },
      },
      ...common,
      overrides: {
        description: "Settings for some scores only; later ones go before earlier ones.",
        type: "array",
        items: {
          ...settings({ files, ...common }, "Settings for the scores that the patterns name."),
          required: ["files"],
        },
      },
    },
    "Settings for the scores in this folder and below. The nearest file goes before those of the folders above.",
  ),
  definitions: {
    profile,
    harp,
    pattern: {
      description: "A pattern for file names.",
      type: "string",
      pattern: "^(?!/|\\.\\.(/|$)|[A-Za-z]:)[^\\\\]+$",
      errorMessage:
        "A pattern names files below this file's folder, with forward slashes: drafts/**, scores/*.mxl or *.xml.",
    },
    module: {
      description: "A module with rules of the house.",
      type: "string",
      pattern: "^\\.\\.?/[^\\\\]*\\.m?js$",
      errorMessage:
        "A module is named by its path from this file, with forward slashes: ./house-rules/digits-above.mjs.",
    },
  },
};

/** The schema of a profile in a file of its own. */
export const profileSchema: JsonSchema = {
  ...profile,
  properties: { $schema: { type: "string" }, ...profile.properties },
};
