import { readFileSync, writeFileSync } from "node:fs";
import { get } from "node:http";
import { join } from "node:path";
import { Validator } from "@seriousme/openapi-schema-validator";
import { Ajv2020, type ValidateFunction } from "ajv/dist/2020.js";
import { afterAll, beforeAll, describe, expect, test } from "vitest";
import { version } from "../../package.json";
import { openApiText } from "../../server/view/openApi.ts";
import type { PanelAnswer } from "../../shared/protocol/panel.ts";
import { demoNames, demoPath, type ViewedFolder, viewFolder } from "../panel/support/viewed.ts";
import { projectFolder } from "../support/built.ts";
import { demoText } from "../support/demo.ts";
import { json, type Reply, score, send } from "./support/request.ts";

interface Content {
  readonly [type: string]: { readonly schema?: object };
}

interface Operation {
  readonly operationId: string;
  readonly parameters?: readonly { readonly name: string }[];
  readonly requestBody?: { readonly content: Content };
  readonly responses: Readonly<Record<string, { readonly content: Content }>>;
}

interface Description {
  readonly info: { readonly version: string };
  readonly paths: Readonly<Record<string, Readonly<Record<string, Operation>>>>;
  readonly components: { readonly schemas: Readonly<Record<string, object>> };
}

const text = openApiText();
const description = JSON.parse(text) as Description;
const file = join(projectFolder, "server", "view", "openapi.json");

test("the published description is that of the table which the server answers by", () => {
  if (process.env.PLACEWRIGHT_WRITE === "1") writeFileSync(file, text);
  const message = "openapi.json is old: run this test with PLACEWRIGHT_WRITE=1";
  expect(readFileSync(file, "utf8") === text, message).toBe(true);
});

// The other opinion: the schema of the OpenAPI Initiative for documents of version 3.1, which the library carries.
test("what the checks below go by refuses what is not described", () => {
  const schema = description.paths["/v1/version"]!.get!.responses[200]!.content["application/json"]!.schema!;
  expect(objections(schema, { name: "placewright", version: "1.0.0", api: 1 })).toBe("");
  expect(objections(schema, { name: "placewright", version: "1.0.0", api: 1, more: 1 })).toContain(
    "additional",
  );
  expect(objections(schema, { name: "placewright", api: 1 })).toContain("version");
});

test("it is OpenAPI 3.1", async () => {
  const validator = new Validator();
  const { valid, errors } = await validator.validate(JSON.parse(text) as Record<string, unknown>);
  expect(errors).toBeUndefined();
  expect(valid).toBe(true);
  expect(validator.version).toBe("3.1");
});

/** A schema that refuses whatever it does not name, where it names anything, so that nothing goes out undescribed. */
function closed(schema: unknown): unknown {
  if (Array.isArray(schema)) return schema.map(closed);
  if (typeof schema !== "object" || schema === null) return schema;
  const { $ref } = schema as { $ref?: string };
  if ($ref !== undefined)
    return closed(description.components.schemas[$ref.replace("#/components/schemas/", "")]);
  const parts = Object.entries(schema).map(([key, value]) => [key, closed(value)]);
  const names = "properties" in schema && "type" in schema && !("additionalProperties" in schema);
  return Object.fromEntries(names ? [...parts, ["additionalProperties", false]] : parts);
}

const ajv = new Ajv2020({ strict: true, strictRequired: false, allowUnionTypes: true, allErrors: true });
const compiled = new Map<object, ValidateFunction>();

/** What a schema of the description has against a value; empty when it fits. */
function objections(schema: object, value: unknown): string {
  const validate = compiled.get(schema) ?? ajv.compile(closed(schema) as object);
  compiled.set(schema, validate);
  return validate(value) ? "" : ajv.errorsText(validate.errors);
}

/** Holds a reply to what the description says of the operation. */
function hold(path: string, method: string, reply: Reply): void {
  const at = `${method} ${path} ${reply.status}`;
  const operation = description.paths[path]![method]!;
  const response = operation.responses[reply.status];
  expect(response, `${at} is described`).toBeDefined();
  const [type = ""] = String(reply.headers["content-type"]).split(";");
  expect(Object.keys(response!.content), at).toContain(type);
  const { schema } = response!.content[type]!;
  if (schema) expect(objections(schema, json(reply)), at).toBe("");
}

describe("the running server", () => {
  let viewed: ViewedFolder;
  let reading: PanelAnswer;
  const uri = "evening-tide.musicxml";

  beforeAll(async () => {
    viewed = await viewFolder(demoNames.map(demoPath));
    reading = json(await ask("/ask/read", { uri })) as PanelAnswer;
  }, 60_000);
  afterAll(async () => {
    await viewed.close();
    expect(viewed.faults).toEqual([]);
  });

  const asked = (path: string): string => path.slice(1);
  const ask = (path: string, body: unknown): Promise<Reply> =>
    send(viewed.server.address, asked(path), {
      body: JSON.stringify(body),
      headers: { "content-type": "application/json" },
    });

  const waltz = demoText("lantern-waltz");
  const accept = "application/vnd.recordare.musicxml+xml";
  const note = "note-0-0";
  const change = (changed: object) => (path: string) =>
    ask(path, { uri, version: reading.version, change: changed });

  /** Calls that are answered with 200, for each path and method. */
  const calls: Readonly<Record<string, readonly ((path: string) => Promise<Reply>)[]>> = {
    "get /v1/version": [(path) => send(viewed.server.address, asked(path))],
    "get /v1/openapi.json": [(path) => send(viewed.server.address, asked(path))],
    "post /v1/check": [
      (path) => send(viewed.server.address, asked(path), score(waltz)),
      (path) => send(viewed.server.address, asked(path), score("<broken")),
      (path) => send(viewed.server.address, `${asked(path)}?profile=small-hand`, score(waltz)),
    ],
    "post /v1/finger": [
      (path) => send(viewed.server.address, asked(path), score(waltz)),
      (path) =>
        send(
          viewed.server.address,
          `${asked(path)}?mode=fresh&hand=left&firstBar=1&lastBar=4`,
          score(waltz, { "content-type": "application/xml" }),
        ),
      (path) => send(viewed.server.address, asked(path), score(waltz, { accept })),
    ],
    "post /ask/scores": [(path) => ask(path, {})],
    "post /ask/read": [
      (path) => ask(path, { uri }),
      (path) => {
        viewed.write("lantern-waltz.musicxml", "<broken");
        return ask(path, { uri: "lantern-waltz.musicxml" });
      },
    ],
    "post /ask/note": [(path) => ask(path, { uri, version: reading.version, note })],
    "post /ask/ways": [(path) => ask(path, { uri, version: reading.version, note })],
    "post /ask/reveal": [
      (path) => ask(path, { uri, version: reading.version, span: { start: 0, end: 1 }, focus: false }),
    ],
    "post /ask/change": [change({ kind: "keep", note, finger: 3 })],
  };

  const operations = Object.entries(description.paths).flatMap(([path, methods]) =>
    Object.keys(methods).map((method) => [method, path] as const),
  );

  test.each(operations.filter(([, path]) => path !== "/news"))(
    "%s %s answers as described",
    async (method, path) => {
      const own = calls[`${method} ${path}`];
      expect(own, `${method} ${path} is called here`).toBeDefined();
      for (const call of own!) {
        const reply = await call(path);
        expect(reply.status, reply.bytes.toString().slice(0, 500)).toBe(200);
        hold(path, method, reply);
      }
    },
  );

  test("get /news is a stream of events", async () => {
    expect(operations).toContainEqual(["get", "/news"]);
    const type = await new Promise((resolve, reject) => {
      get(`${viewed.server.address}news`, (response) => {
        resolve(response.headers["content-type"]);
        response.destroy();
      }).on("error", reject);
    });
    expect(type).toBe("text/event-stream; charset=utf-8");
  });

  test.each(operations)("%s %s is refused as described", async (method, path) => {
    const { address } = viewed.server;
    const operation = description.paths[path]![method]!;
    const [type] = Object.keys(operation.requestBody?.content ?? {});
    const good =
      type === undefined
        ? {}
        : { body: type === "application/json" ? '{"x":1}' : "<broken", headers: { "content-type": type } };
    const as = { ...good, method: method.toUpperCase() };
    hold(path, method, await send(address, `/wrong${path}`, as));
    hold(
      path,
      method,
      await send(address, asked(path), { ...as, headers: { ...as.headers, host: "scores.example" } }),
    );
    hold(path, method, await send(address, `${asked(path)}?nothing=1`, as));
    if (type === undefined) return;
    hold(
      path,
      method,
      await send(address, asked(path), { ...as, headers: { "content-type": "text/plain" } }),
    );
    const length = { ...as.headers, "content-length": "32000001" };
    const { body: _, ...head } = as as { body?: string };
    const declared = await send(address, asked(path), { ...head, headers: length });
    expect(declared.status).toBe(413);
    hold(path, method, declared);
    if (type === "application/json") hold(path, method, await send(address, asked(path), as));
    else if (path === "/v1/finger") hold(path, method, await send(address, asked(path), as));
  });

  test("it serves this description, and says which program it is", async () => {
    expect(json(await send(viewed.server.address, "v1/openapi.json"))).toEqual(description);
    expect(json(await send(viewed.server.address, "v1/version"))).toEqual({
      name: "placewright",
      version,
      api: 1,
    });
    expect(description.info.version).toBe("1");
  });
});
