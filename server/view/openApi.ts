import { type Endpoint, endpoints } from "./endpoints.ts";
import { usualLimits } from "./limits.ts";
import { type AnswerSchema, refusalAnswer } from "./schemas.ts";

/** What any request may be refused for, by the status of HTTP. */
const anyRefusal: Readonly<Record<number, string>> = {
  400: "The request has not the shape that is described here.",
  403: "The request is for another host, or comes from another origin than the page's.",
  404: "The token is not the server's.",
  500: "A fault of the server's own.",
};

const bodyRefusals: Readonly<Record<number, string>> = {
  408: "The request was sent too slowly.",
  413: "The body is too long.",
  415: "The body is of no type that is listed here.",
  503: "Too much is being asked at once: try again after the seconds in Retry-After.",
};

/** The description of all endpoints, OpenAPI 3.1: made from the table that the server answers by. */
export function openApi(): object {
  const { scoreBytes, requestMs, connections } = usualLimits;
  return {
    openapi: "3.1.1",
    info: {
      title: "Placewright",
      version: "1",
      summary: "Fingering for harp music, for a notation program on the same machine.",
      description: `placewright view PATH serves this on 127.0.0.1 and prints the address, token and all: whoever does not know it gets nothing. Stop on pain; a teacher's or clinician's word goes first. Limits: a score has at most ${scoreBytes / 1e6} MB as sent, a request is sent within ${requestMs / 1000} seconds (408), ${connections} connections at a time.`,
      license: { name: "MIT", identifier: "MIT" },
    },
    servers: [
      {
        url: "http://127.0.0.1:{port}/{token}",
        description: "The address that placewright view prints.",
        variables: { port: { default: "0" }, token: { default: "token" } },
      },
    ],
    tags: [
      {
        name: "programs",
        description:
          "For notation programs. What reads version 1 goes on reading it: there may be more in answers, and not less.",
      },
      { name: "page", description: "For the page that view shows, whose version they follow." },
    ],
    paths: Object.fromEntries(
      endpoints.map((endpoint) => [
        `/${endpoint.path}`,
        { [endpoint.method.toLowerCase()]: operation(endpoint) },
      ]),
    ),
    components: { schemas: { Refusal: open(refusalAnswer) } },
  };
}

function operation({ path, tag, summary, description, choices, body, answers, refused }: Endpoint): object {
  const parameters = Object.entries(choices ?? {}).map(([name, { description: words, ...schema }]) => ({
    name,
    in: "query",
    description: words,
    schema: schema.type === undefined ? { type: "string", ...schema } : schema,
  }));
  return {
    operationId: path
      .replace(/^v1\//, "")
      .replace(/[^a-z]+(\w)/g, (_, letter: string) => letter.toUpperCase()),
    tags: [tag],
    summary,
    ...(description === undefined ? {} : { description }),
    ...(parameters.length > 0 ? { parameters } : {}),
    ...(body
      ? {
          requestBody: {
            required: true,
            description: body.description,
            content: contentOf(body.types.map((type) => [type, body.schema as AnswerSchema | undefined])),
          },
        }
      : {}),
    responses: {
      200: {
        description: "The answer.",
        content: contentOf(Object.entries(answers).map(([type, schema]) => [type, open(schema)])),
      },
      ...Object.fromEntries(
        Object.entries({
          ...anyRefusal,
          ...(body ? bodyRefusals : {}),
          ...(refused ? { [refused.status]: refused.when } : {}),
        }).map(([status, words]) => [status, refusal(words)]),
      ),
    },
  };
}

function contentOf(types: readonly (readonly [string, AnswerSchema | undefined])[]): object {
  return Object.fromEntries(types.map(([type, schema]) => [type, schema ? { schema } : {}]));
}

/** A schema of an answer, as readers may take it: in later versions there may be more in it. */
function open<T>(schema: T): T {
  return JSON.parse(
    JSON.stringify(schema ?? null, (key, value: unknown) =>
      key === "additionalProperties" && value === false ? undefined : value,
    ),
  ) as T;
}

function refusal(description: string): object {
  return {
    description,
    content: { "application/json": { schema: { $ref: "#/components/schemas/Refusal" } } },
  };
}

/** The description as a file. What only our own reader of schemas knows is left out. */
export function openApiText(): string {
  return `${JSON.stringify(openApi(), (key, value) => (key === "errorMessage" ? undefined : value), 2)}\n`;
}
