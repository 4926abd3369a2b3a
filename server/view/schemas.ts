// The shapes of what goes in and comes out, as JSON Schema. What comes in is read by these very schemas.
import type { PanelChange, PanelQuestion } from "../../shared/protocol/panel.ts";
import type { JsonSchema } from "../../shared/service/jsonSchema.ts";

/** A schema of what is sent; it may use more of JSON Schema than what is read by `readJson`. */
export type AnswerSchema = Readonly<Record<string, unknown>>;

type Shapes = Readonly<Record<string, AnswerSchema>>;

const text = { type: "string" } as const;
const count = { type: "integer", minimum: 0 } as const;
const orNull = (...types: string[]): AnswerSchema => ({ type: [...types, "null"] });
const listOf = (items: AnswerSchema): AnswerSchema => ({ type: "array", items });

/** An object that has all of these, and none but these and `optional`. */
function shape(properties: Shapes, optional: Shapes = {}): AnswerSchema {
  return {
    type: "object",
    required: Object.keys(properties),
    properties: { ...properties, ...optional },
    additionalProperties: false,
  };
}

const position = shape({ line: { type: "integer", minimum: 1 }, column: { type: "integer", minimum: 1 } });
const range = {
  ...shape({ start: position, end: position }),
  description: "Lines and columns from 1; the end is not included.",
};
const severity = { enum: ["error", "warning", "info"] };
const hand = { enum: ["right", "left"] };

const finding = shape({
  rule: text,
  severity,
  message: text,
  part: orNull("string"),
  hand: { enum: ["right", "left", null] },
  bar: { ...orNull("string"), description: "As printed." },
  beat: { ...orNull("string"), description: "In quarter notes from 1, as a whole number or a fraction." },
  range,
  related: listOf(shape({ message: text, range })),
  fixes: listOf(shape({ title: text, safety: { enum: ["safe", "ask"] } })),
  place: { ...text, description: "Tells the music and the print there from others, wherever it stands." },
});

const checkedFile = shape({
  path: {
    ...text,
    description: "<posted> for the score; another entry stands for a file beside it with something wrong.",
  },
  problems: listOf(shape({ severity, message: text, range }, { about: text })),
  findings: listOf(finding),
  accepted: count,
  level: { ...orNull("object"), description: "What teachers weigh; null for a score without a harp." },
  assumptions: listOf(text),
  notes: count,
});

/** What `check --format json` prints. */
export const checkAnswer: AnswerSchema = shape({ version: { const: 1 }, files: listOf(checkedFile) });

const edit = {
  ...shape({ start: count, end: count, text }),
  description:
    "Offsets into the posted text, in UTF-16 units, without a byte order mark; all refer to the text before any edit, and come in its order.",
};

/** What `finger --format json` prints, with the score and what people are told with it. */
export const fingerAnswer: AnswerSchema = shape({
  version: { const: 1 },
  path: text,
  harp: shape({
    parts: listOf(shape({ id: text, name: text })),
    staves: listOf(shape({ part: text, staff: { type: "integer", minimum: 1 }, hand })),
    assumptions: listOf(text),
  }),
  hands: listOf(
    shape({
      part: orNull("string"),
      hand,
      events: listOf(
        shape({
          bar: text,
          beat: text,
          notes: listOf(shape({ pitch: text, finger: { enum: [1, 2, 3, 4, null] } })),
        }),
      ),
      placings: listOf(
        shape({
          first: count,
          last: count,
          direction: { enum: ["rising", "falling", "together"] },
          joint: { enum: ["start", "separate", "overlap", "cross"] },
        }),
      ),
    }),
  ),
  cost: shape({
    total: { type: "number" },
    terms: { type: "object", additionalProperties: { type: "number" } },
    gap: { type: "number" },
  }),
  score: {
    ...text,
    description:
      "The fingered score as text, its declaration of an encoding included. Every character outside the edits is as it was. For the bytes ask for MusicXML.",
  },
  edits: listOf(edit),
  remarks: { ...listOf(text), description: "What was assumed, and what of the print could not be kept." },
  warnings: { ...listOf(text), description: "Where the fingering asks for more than is comfortable." },
  caution: { ...text, description: "Show it wherever the fingering is shown." },
});

export const versionAnswer: AnswerSchema = shape({
  name: { const: "placewright" },
  version: { ...text, description: "Of the program." },
  api: { const: 1, description: "Of these addresses: what fits 1 goes on fitting it." },
});

/** What every refusal is. */
export const refusalAnswer: AnswerSchema = shape({
  error: { ...text, description: "A sentence for people: what is wrong and what to do." },
});

const uri = { ...text, description: "Names a score, as scores lists them." } as const;
const version = {
  type: "number",
  description: "Of the reading that it is about: another one is refused.",
} as const;
const note = { ...text, description: "A note's id in the reading." } as const;

function asked(
  properties: Readonly<Record<string, JsonSchema>>,
  optional: Readonly<Record<string, JsonSchema>> = {},
): JsonSchema {
  return shape(properties as Shapes, optional as Shapes) as JsonSchema;
}

const bars = asked({ first: text, last: text });

function change(
  kind: string,
  properties: Readonly<Record<string, JsonSchema>>,
  optional: Readonly<Record<string, JsonSchema>> = {},
): JsonSchema {
  const ownKind: JsonSchema = { enum: [kind], errorMessage: "This is no change that the panel can make." };
  return asked({ kind: ownKind, ...properties }, optional);
}

/** By kind: a change that has no shape here does not compile. */
const changes: Readonly<Record<PanelChange["kind"], JsonSchema>> = {
  finger: change(
    "finger",
    { mode: { enum: ["keep", "fresh"] }, hand: { enum: ["right", "left", "both"] } },
    { bars },
  ),
  placing: change("placing", { note }),
  way: change("way", { note, way: count }),
  keep: change("keep", { note, finger: { type: "integer" } }),
  free: change("free", { note }),
  alike: change("alike", { passage: count, model: count, target: { anyOf: [count, { enum: ["all"] }] } }),
  fix: change("fix", { finding: count, fix: count }),
  accept: change("accept", { finding: count }, { reason: text }),
};

/** What the panel's page asks. */
export const panelQuestions = {
  scores: asked({}),
  read: asked({ uri }),
  note: asked({ uri, version, note }),
  ways: asked({ uri, version, note }),
  change: asked({
    uri,
    version,
    change: {
      anyOf: Object.values(changes),
    },
  }),
  reveal: asked({ uri, version, span: asked({ start: count, end: count }), focus: { type: "boolean" } }),
} as const satisfies Record<PanelQuestion, JsonSchema>;

const words = "As the page of this version draws it; it changes with the page.";

/** What the panel's page gets. */
export const panelAnswers = {
  scores: listOf(shape({ uri: text, name: text })),
  read: shape({
    version,
    reading: {
      type: "object",
      required: ["state"],
      properties: { state: { enum: ["score", "broken"] } },
      additionalProperties: true,
      description: words,
    },
  }),
  note: { type: "object", required: ["id", "pitch", "hand", "bar", "beat"], description: words },
  ways: { ...listOf({ type: "object" }), description: words },
  change: shape({ label: text, edits: count }),
  reveal: { type: "null" },
} as const satisfies Record<PanelQuestion, AnswerSchema>;
