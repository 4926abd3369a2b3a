import { houseIdPattern } from "../rules/house.ts";
import { rules } from "../rules/registry.ts";
import type { JsonSchema } from "./jsonSchema.ts";

/** The schema of `placewright.accepted.json`; printed to `accepted.schema.json`, which is published. */
export const acceptedSchema: JsonSchema = {
  $schema: "http://json-schema.org/draft-07/schema#",
  title: "Accepted findings of Placewright",
  description:
    "What was found in the scores of this folder and below, and is meant to be as it is. An entry holds until the notes or the fingering at its place change.",
  type: "object",
  properties: {
    $schema: { description: "Where this schema lies, for editors.", type: "string" },
    accepted: {
      description: "One entry for each finding that is meant to be as it is.",
      type: "array",
      items: {
        description: "A finding that is meant to be as it is.",
        type: "object",
        properties: {
          rule: {
            description: "The rule that found it.",
            anyOf: [
              { type: "string", pattern: houseIdPattern },
              {
                type: "string",
                enum: rules.map(({ id }) => id),
                enumDescriptions: rules.map(({ summary }) => summary),
              },
            ],
          },
          score: {
            description: "The score's file, from this file's folder, with forward slashes.",
            type: "string",
            pattern: "^(?!/|\\.\\.(/|$)|[A-Za-z]:)[^\\\\]+$",
            errorMessage:
              "A score is named from this file's folder, with forward slashes, and lies in it or below: songs/waltz.musicxml.",
          },
          hand: { description: "The hand that it is about.", type: "string", enum: ["right", "left"] },
          place: {
            description:
              "Tells the place by its notes, their rhythm, fingers and brackets. It is written by Placewright: by the editor's repair Mark as intended, or by placewright check --accept.",
            type: "string",
            pattern: "^[0-9a-f]{16}$",
            errorMessage:
              "A place is told by 16 hexadecimal digits, which Placewright writes: placewright check --accept.",
          },
          ordinal: {
            description:
              "Which one is meant, from the beginning of the score, when several places are alike.",
            type: "integer",
            minimum: 1,
            maximum: 100_000,
            default: 1,
          },
          finding: {
            description:
              "What was said when it was accepted, for those who read this file. It is not looked at.",
            type: "string",
          },
          reason: {
            description: "Why it is meant to be as it is.",
            type: "string",
            pattern: "\\S",
            errorMessage: "Say why it is meant to be as it is.",
          },
        },
        required: ["rule", "score", "place", "reason"],
        additionalProperties: false,
      },
    },
  },
  required: ["accepted"],
  additionalProperties: false,
};
