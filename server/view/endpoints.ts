import { version } from "../../package.json";
import { namedProfiles } from "../../shared/fingering/profile.ts";
import { isZip } from "../../shared/musicxml/zip.ts";
import type { PanelNews, PanelQuestion, PanelQuestions } from "../../shared/protocol/panel.ts";
import type { JsonSchema } from "../../shared/service/jsonSchema.ts";
import { panelNote } from "../../shared/service/panelNote.ts";
import { panelWays } from "../../shared/service/panelWays.ts";
import type { Limits } from "./limits.ts";
import {
  type AnswerSchema,
  checkAnswer,
  fingerAnswer,
  panelAnswers,
  panelQuestions,
  versionAnswer,
} from "./schemas.ts";
import type { ScoreChoices, ScoreWork } from "./scoreWork.ts";
import type { ViewedScores } from "./viewedScores.ts";

/** A request, once it is known to be for an endpoint and to have the shape that the endpoint asks for. */
export interface Call {
  /** What follows `?`, by name. */
  readonly choices: Readonly<Record<string, string>>;
  /** Bytes as sent; for JSON the value. */
  readonly body: unknown;
  /** Which of the endpoint's types the answer shall have. */
  readonly type: string;
  /** Tells that nobody waits any more. */
  readonly signal: AbortSignal;
}

/** What endpoints answer from. */
export interface Answering {
  readonly scores: ViewedScores;
  readonly work: ScoreWork;
  /** Tells all pages. */
  tell(news: PanelNews): void;
  /** The document that describes all endpoints, as JSON. */
  readonly description: string;
}

/** One address of the server: how it is described, and what it does. The server knows no others but the page's files. */
export interface Endpoint {
  readonly method: "GET" | "POST";
  /** After the token. */
  readonly path: string;
  readonly summary: string;
  readonly description?: string;
  /** Whom it is for. */
  readonly tag: "programs" | "page";
  /** What may follow `?`: texts. */
  readonly choices?: Readonly<Record<string, JsonSchema>>;
  readonly body?: {
    readonly types: readonly string[];
    readonly most: keyof Limits;
    /** Of a body that is JSON. */
    readonly schema?: JsonSchema;
    readonly description: string;
  };
  /** By type, the usual one first; without a schema, bytes or text. */
  readonly answers: Readonly<Record<string, AnswerSchema | undefined>>;
  /** The status of what cannot be done with what was sent, and when that is. */
  readonly refused?: { readonly status: 409 | 422; readonly when: string };
  answer(call: Call, answering: Answering): Promise<Answer> | Answer;
}

/** `follow`: the answer never ends; news are written into it. */
export type Answer = { readonly type: string; readonly content: string | Uint8Array } | "follow";

// Source of both: https://www.iana.org/assignments/media-types.
const musicXml = "application/vnd.recordare.musicxml+xml";
const compressedMusicXml = "application/vnd.recordare.musicxml";
const json = "application/json";

function inJson(content: string | Uint8Array): Answer {
  return { type: json, content };
}

function file(content: string | Uint8Array): Answer {
  return { type: isZip(Buffer.from(content)) ? compressedMusicXml : musicXml, content };
}

const postedScore: Endpoint["body"] = {
  types: [musicXml, compressedMusicXml, "application/xml", "text/xml"],
  most: "scoreBytes",
  description: "The bytes of a score, in any encoding that MusicXML has, or compressed (.mxl).",
};

const part: JsonSchema = {
  type: "string",
  description: "Id or name of the part that is the harp, when the score does not say.",
};
const profile: JsonSchema = { enum: Object.keys(namedProfiles), description: "Who plays." };

const unreadable = { status: 422, when: "The score cannot be read or fingered, or takes too much." } as const;
const settingsWords =
  "The settings of the folder that is shown count, as they do for a score in it. Nothing is written on the disk.";

const forPrograms: readonly Endpoint[] = [
  {
    method: "GET",
    path: "v1/version",
    tag: "programs",
    summary: "Which program answers.",
    answers: { [json]: versionAnswer },
    answer: () => inJson(JSON.stringify({ name: "placewright", version, api: 1 })),
  },
  {
    method: "GET",
    path: "v1/openapi.json",
    tag: "programs",
    summary: "This description.",
    answers: { [json]: { type: "object", required: ["openapi", "paths"] } },
    answer: (_, { description }) => inJson(description),
  },
  {
    method: "POST",
    path: "v1/check",
    tag: "programs",
    summary: "What is wrong or doubtful in a score that is sent along.",
    description: `The answer is what placewright check --format json prints. ${settingsWords}`,
    choices: { part, profile },
    body: postedScore,
    answers: { [json]: checkAnswer },
    refused: unreadable,
    answer: async ({ body, choices, signal }, { work }) =>
      inJson(
        await work.answer(
          { does: "check", bytes: body as Uint8Array, choices: choices as ScoreChoices },
          signal,
        ),
      ),
  },
  {
    method: "POST",
    path: "v1/finger",
    tag: "programs",
    summary: "The best fingering of a score that is sent along.",
    description: `JSON tells the fingered score, what was changed in it and what the fingering asks for. Asked for MusicXML, the answer is the file itself, stored as the one that was sent. ${settingsWords}`,
    choices: {
      mode: {
        enum: ["keep", "fresh"],
        description: "keep, the usual one, keeps what is printed; fresh fingers anew.",
      },
      hand: { enum: ["right", "left", "both"], description: "Only this hand." },
      firstBar: { type: "string", description: "Only from this bar on, by its printed number." },
      lastBar: { type: "string", description: "Only to this bar, by its printed number, and with it." },
      part,
      profile,
    },
    body: postedScore,
    answers: { [json]: fingerAnswer, [musicXml]: undefined, [compressedMusicXml]: undefined },
    refused: unreadable,
    answer: async ({ body, choices, type, signal }, { work }) => {
      const posted = { bytes: body as Uint8Array, choices: choices as ScoreChoices };
      if (type === json) return inJson(await work.answer({ does: "finger", as: "json", ...posted }, signal));
      return file(await work.answer({ does: "finger", as: "musicxml", ...posted }, signal));
    },
  },
];

/** What a question of the page asks for, answered. */
function ask<Q extends PanelQuestion>(
  question: Q,
  summary: string,
  answer: (
    asks: PanelQuestions[Q]["asks"],
    answering: Answering,
  ) => Promise<PanelQuestions[Q]["gets"]> | PanelQuestions[Q]["gets"],
): Endpoint {
  return {
    method: "POST",
    path: `ask/${question}`,
    tag: "page",
    summary,
    body: {
      types: [json],
      most: "questionBytes",
      schema: panelQuestions[question],
      description: "The question.",
    },
    answers: { [json]: panelAnswers[question] },
    refused: { status: 409, when: "The score is another one by now, or is not there." },
    answer: async ({ body }, answering) =>
      inJson(JSON.stringify(await answer(body as PanelQuestions[Q]["asks"], answering))),
  };
}

const forThePage: readonly Endpoint[] = [
  {
    method: "GET",
    path: "news",
    tag: "page",
    summary: "Which scores have changed, as it happens.",
    answers: { "text/event-stream": undefined },
    answer: () => "follow",
  },
  ask("scores", "The scores that are shown.", (_, { scores }) => scores.list()),
  ask("read", "A score as the page draws it, and its version.", ({ uri }, { scores }) => scores.read(uri)),
  ask("note", "All about one note.", ({ uri, version: read, note }, { scores }) =>
    scores.ask(uri, read, (analysis) => panelNote(analysis, note)),
  ),
  ask("ways", "Other fingerings of a note's placing.", ({ uri, version: read, note }, { scores }) =>
    scores.ask(uri, read, (analysis) => panelWays(analysis, note)),
  ),
  ask(
    "change",
    "Changes fingering and brackets of a score in its file, and nothing else.",
    async ({ uri, version: read, change }, { scores, tell }) => {
      const changed = await scores.change(uri, read, change);
      tell({ kind: "changed", uri });
      return changed;
    },
  ),
  ask("reveal", "For editors; a browser has nothing to show it in.", () => null),
];

export const endpoints: readonly Endpoint[] = [...forPrograms, ...forThePage];
