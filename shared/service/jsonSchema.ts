import { closest } from "fastest-levenshtein";
import { type Node, type ParseError, parseTree, printParseErrorCode } from "jsonc-parser";
import type { Problem } from "../text/problem.ts";
import type { Span } from "../text/span.ts";

/** As much of JSON Schema (draft 7) as the settings need. `errorMessage` is an addition that editors know. */
export interface JsonSchema {
  readonly $schema?: string;
  readonly $id?: string;
  readonly $ref?: string;
  readonly title?: string;
  readonly description?: string;
  readonly default?: unknown;
  readonly type?: "object" | "array" | "string" | "number" | "integer" | "boolean";
  readonly enum?: readonly (string | number)[];
  readonly enumDescriptions?: readonly string[];
  readonly minimum?: number;
  readonly maximum?: number;
  readonly pattern?: string;
  readonly items?: JsonSchema;
  readonly minItems?: number;
  readonly properties?: Readonly<Record<string, JsonSchema>>;
  /** By patterns for their names, for properties that `properties` does not name. */
  readonly patternProperties?: Readonly<Record<string, JsonSchema>>;
  readonly required?: readonly string[];
  readonly additionalProperties?: false;
  readonly anyOf?: readonly JsonSchema[];
  readonly definitions?: Readonly<Record<string, JsonSchema>>;
  /** Said instead of what is wrong in particular. */
  readonly errorMessage?: string;
}

/** A JSON text that was read against a schema. */
export interface ReadJson {
  /** As the schema has it, without what is wrong; undefined when nothing could be read. */
  readonly value: unknown;
  readonly problems: readonly Problem[];
}

/**
 * Reads a JSON text and checks it against a schema.
 * @returns the value with every part left out that the schema does not allow, and a problem at the place of each.
 */
export function readJson(text: string, schema: JsonSchema): ReadJson {
  const errors: ParseError[] = [];
  // A byte order mark is no part of JSON; its place is kept, so that offsets stay right.
  const tree = parseTree(text.replace(/^\uFEFF/, " "), errors, { disallowComments: true });
  const problems = errors.map(({ error, offset, length }) =>
    problem(parseWords[printParseErrorCode(error)] ?? "This is not JSON.", {
      start: offset,
      end: offset + length,
    }),
  );
  if (!tree) return { value: undefined, problems };
  // What comes after the first slip is read otherwise than it was meant.
  if (problems.length > 0) return { value: undefined, problems: problems.slice(0, 1) };
  const check = new Check(schema);
  const value = check.read(tree, schema, "");
  return { value, problems: check.problems };
}

const parseWords: Readonly<Record<string, string>> = {
  InvalidSymbol: "This is no word of JSON. Put text between double quotes.",
  InvalidNumberFormat: "This is not a number.",
  PropertyNameExpected: "A setting's name is expected here, between double quotes.",
  ValueExpected: "A value is expected here.",
  ColonExpected: "A colon is expected here.",
  CommaExpected: "A comma is missing before this.",
  CloseBraceExpected: "A closing brace } is missing.",
  CloseBracketExpected: "A closing bracket ] is missing.",
  EndOfFileExpected: "Nothing may come after the end of the settings.",
  InvalidCommentToken: "JSON has no comments. Take this out.",
  UnexpectedEndOfComment: "JSON has no comments. Take this out.",
  UnexpectedEndOfString: "A closing double quote is missing.",
  UnexpectedEndOfNumber: "This number breaks off.",
  InvalidUnicode: "This is no character. Write \\u and four hexadecimal digits.",
  InvalidEscapeCharacter: "After a backslash this cannot stand. Write \\\\ for a backslash.",
  InvalidCharacter: "This character cannot stand in a text. Use an escape such as \\n or \\t.",
};

function problem(message: string, span: Span): Problem {
  return { severity: "error", message, span };
}

const nothing = Symbol("left out");

class Check {
  readonly problems: Problem[] = [];
  readonly #root: JsonSchema;

  constructor(root: JsonSchema) {
    this.#root = root;
  }

  /** The value of a node without what is wrong in it. `path`: where it stands, for messages. */
  read(node: Node, schema: JsonSchema, path: string): unknown {
    const value = this.#read(node, schema, path);
    return value === nothing ? undefined : value;
  }

  #read(node: Node, asked: JsonSchema, path: string): unknown {
    const schema = this.#resolve(asked);
    if (schema.anyOf && schema.type === undefined) return this.#readAny(node, schema, path);
    if (!isOfType(node, schema.type)) {
      return this.#refuse(node, schema, `${nameOf(path)} must be ${typeWords(schema)}.`);
    }
    switch (node.type) {
      case "object":
        return this.#readObject(node, schema, path);
      case "array":
        return this.#readArray(node, schema, path);
      default:
        return this.#readScalar(node, schema, path);
    }
  }

  /** Of several shapes, the one that has the node's type is meant; of several such, the first that it fits. */
  #readAny(node: Node, schema: JsonSchema, path: string): unknown {
    const shapes = schema.anyOf!.map((shape) => this.#resolve(shape));
    const ofType = shapes.filter((shape) => isOfType(node, shape.type));
    const meant = ofType.slice(0, -1).find((shape) => this.#fits(node, shape)) ?? ofType.at(-1);
    if (meant) return this.#read(node, meant, path);
    const wanted = shapes.map(typeWords).join(", or ");
    return this.#refuse(node, schema, `${nameOf(path)} must be ${wanted}.`);
  }

  #fits(node: Node, shape: JsonSchema): boolean {
    const trial = new Check(this.#root);
    trial.#read(node, shape, "");
    return trial.problems.length === 0;
  }

  #readObject(node: Node, schema: JsonSchema, path: string): unknown {
    const known = schema.properties ?? {};
    const found: Record<string, unknown> = {};
    for (const property of node.children ?? []) {
      const [key, value] = property.children as [Node, Node | undefined];
      const name = key.value as string;
      const own = Object.hasOwn(known, name) ? known[name] : patterned(name, schema);
      if (Object.hasOwn(found, name)) {
        this.#report(key, `"${name}" stands here twice. Take one of them out.`);
      } else if (own && value) {
        const read = this.#read(value, own, path === "" ? name : `${path}.${name}`);
        if (read !== nothing) found[name] = read;
      } else if (!own) {
        const names = Object.keys(known).filter((candidate) => !candidate.startsWith("$"));
        this.#report(key, unknownKey(name, path, names));
      }
    }
    return this.#isComplete(node, schema, path, found) ? found : nothing;
  }

  /** Says what is missing; what stands there and is wrong has been told already. */
  #isComplete(node: Node, schema: JsonSchema, path: string, found: object): boolean {
    const given = new Set((node.children ?? []).map((property) => property.children![0]!.value as string));
    const ways = schema.anyOf ? schema.anyOf.map((shape) => shape.required ?? []) : [[]];
    const missing = (schema.required ?? []).filter((name) => !given.has(name));
    if (missing.length > 0) {
      this.#refuse(node, schema, `${nameOf(path)} needs ${missing.map(quoted).join(" and ")}.`);
    } else if (!ways.some((way) => way.every((name) => given.has(name)))) {
      this.#refuse(node, schema, `${nameOf(path)} is not complete.`);
    }
    const has = (names: readonly string[]): boolean => names.every((name) => Object.hasOwn(found, name));
    return has(schema.required ?? []) && ways.some(has);
  }

  #readArray(node: Node, schema: JsonSchema, path: string): unknown {
    const items = node.children ?? [];
    if (items.length < (schema.minItems ?? 0)) {
      return this.#refuse(node, schema, `${nameOf(path)} must have at least one entry.`);
    }
    return items
      .map((item) => (schema.items ? this.#read(item, schema.items, path) : item.value))
      .filter((value) => value !== nothing);
  }

  #readScalar(node: Node, schema: JsonSchema, path: string): unknown {
    const value: unknown = node.value;
    if (schema.enum && !schema.enum.includes(value as string)) {
      return this.#refuse(node, schema, notAChoice(path, value, schema.enum));
    }
    if (typeof value === "number") {
      const { minimum = Number.NEGATIVE_INFINITY, maximum = Number.POSITIVE_INFINITY } = schema;
      if (!(value >= minimum && value <= maximum)) {
        return this.#refuse(node, schema, `${nameOf(path)} must be ${rangeWords(schema)}, not ${value}.`);
      }
    }
    if (typeof value === "string" && schema.pattern && !new RegExp(schema.pattern, "u").test(value)) {
      return this.#refuse(node, schema, `${nameOf(path)} cannot be ${quoted(value)}.`);
    }
    return value;
  }

  #resolve(schema: JsonSchema): JsonSchema {
    if (schema.$ref === undefined) return schema;
    const name = schema.$ref.replace("#/definitions/", "");
    const found = this.#root.definitions?.[name];
    if (!found) throw new Error(`the schema has no definition ${name}`);
    return found;
  }

  #refuse(node: Node, schema: JsonSchema, message: string): typeof nothing {
    this.#report(node, schema.errorMessage ?? message);
    return nothing;
  }

  #report({ offset, length }: Node, message: string): void {
    this.problems.push(problem(message, { start: offset, end: offset + length }));
  }
}

function patterned(name: string, { patternProperties = {} }: JsonSchema): JsonSchema | undefined {
  return Object.entries(patternProperties).find(([pattern]) => new RegExp(pattern, "u").test(name))?.[1];
}

function isOfType(node: Node, type: JsonSchema["type"]): boolean {
  if (type === undefined) return true;
  if (type === "integer") return node.type === "number" && Number.isInteger(node.value);
  return node.type === type;
}

function typeWords(schema: JsonSchema): string {
  if (schema.enum) return orList(schema.enum.map((value) => JSON.stringify(value)));
  switch (schema.type) {
    case "object":
      return "settings between braces { }";
    case "array":
      return "a list between brackets [ ]";
    case "string":
      return "text between double quotes";
    case "boolean":
      return "true or false";
    default:
      return rangeWords(schema);
  }
}

function rangeWords({ type, minimum, maximum }: JsonSchema): string {
  const kind = type === "integer" ? "a whole number" : "a number";
  if (minimum === undefined || maximum === undefined) return kind;
  return `${kind} from ${minimum} to ${maximum}`;
}

function nameOf(path: string): string {
  return path === "" ? "This" : quoted(path);
}

const quoted = (name: string): string => `"${name}"`;

/** All choices are listed as long as they can be taken in at a glance. */
const fewChoices = 12;

function unknownKey(name: string, path: string, known: readonly string[]): string {
  const where = path === "" ? "" : ` in ${quoted(path)}`;
  const nearest = known.length > 0 ? ` Did you mean ${quoted(closest(name, known))}?` : "";
  const all = known.length <= fewChoices && known.length > 0 ? ` There are ${known.join(", ")}.` : "";
  return `There is no ${quoted(name)}${where}.${nearest}${all}`;
}

function notAChoice(path: string, value: unknown, choices: readonly (string | number)[]): string {
  const shown = choices.map((choice) => JSON.stringify(choice));
  const nearest = closest(JSON.stringify(value), shown);
  const wanted = choices.length <= fewChoices ? `It can be ${orList(shown)}.` : `Did you mean ${nearest}?`;
  const hint = choices.length <= fewChoices && typeof value === "string" ? ` Did you mean ${nearest}?` : "";
  return `${nameOf(path)} cannot be ${JSON.stringify(value)}.${hint} ${wanted}`;
}

/** `a`, `a or b`, `a, b or c`. */
function orList(words: readonly string[]): string {
  if (words.length < 2) return words.join("");
  return `${words.slice(0, -1).join(", ")} or ${words[words.length - 1]}`;
}
