import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import {
  ParseOption,
  XmlBufferInputProvider,
  XmlDocument,
  XmlText,
  XsdValidator,
  xmlRegisterInputProvider,
} from "libxml2-wasm";

/** libxml2, compiled to WebAssembly: an XML reader that shares nothing with this project's two. */

/** XML that libxml2 reads; undefined when it refuses. */
function documentOf(bytes: Uint8Array): XmlDocument | undefined {
  try {
    return XmlDocument.fromBuffer(bytes, {
      option: ParseOption.XML_PARSE_NONET | ParseOption.XML_PARSE_HUGE,
    });
  } catch {
    return undefined;
  }
}

const emptied =
  "not(@*) and not(*) and not(comment()) and not(processing-instruction()) and not(normalize-space())";
const onlyBracket = "count(*) = 1 and bracket";

/** What an edit may add, take away or change, in the order of taking it out. */
const free = [
  "//note/notations/technical/fingering",
  `//note/notations/technical[${emptied}]`,
  `//note/notations[${emptied}]`,
  `//direction[direction-type[${onlyBracket}] and not(direction-type[not(${onlyBracket})])][not(*[not(self::direction-type or self::offset or self::voice or self::staff)])][not(comment())]`,
  `//direction[direction-type[not(${onlyBracket})]]/direction-type[${onlyBracket}]`,
];

/** One by one: libxml2 sorts what a union finds, which takes its time. */
const strayText = ["note", "notations", "technical", "direction", "measure"].map(
  (name) => `//${name}[text()[normalize-space()]]/text()`,
);

/**
 * A score as canonical XML, without all that a fingering edit may change.
 * @returns undefined when libxml2 cannot read the bytes.
 */
export function withoutFingering(bytes: Uint8Array): string | undefined {
  const document = documentOf(bytes);
  if (!document) return undefined;
  try {
    for (const path of free) for (const node of document.find(path)) node.remove();
    // Text has no business there; where there is some, the layout around it may change.
    for (const node of strayText.flatMap((path) => document.find(path))) {
      if (node instanceof XmlText) node.content = node.content.trim();
    }
    return withoutLayout(document.canonicalizeToString({ withComments: true }));
  } finally {
    document.dispose();
  }
}

/** Canonical XML without the white space between elements; an element that holds nothing but white space keeps it. */
function withoutLayout(canonical: string): string {
  return canonical.replace(/(<[^/!?>][^>]*>\s+)(?=<\/)|>\s+(?=<)/g, (_, leaf?: string) => leaf ?? ">");
}

/** Whether libxml2 can read the bytes. */
export function isWellFormed(bytes: Uint8Array): boolean {
  const document = documentOf(bytes);
  document?.dispose();
  return document !== undefined;
}

const standards = join(import.meta.dirname, "../../../shared/standards");
export const hasSchema = existsSync(join(standards, "musicxml.xsd"));

let validator: XsdValidator | undefined;

/** Loads the schema of MusicXML 4.0 with its two imports, from local copies. */
function schema(): XsdValidator {
  if (validator) return validator;
  const local = (name: string): Uint8Array => readFileSync(join(standards, name));
  xmlRegisterInputProvider(
    new XmlBufferInputProvider({
      "http://www.musicxml.org/xsd/xml.xsd": local("xml.xsd"),
      "http://www.musicxml.org/xsd/xlink.xsd": local("xlink.xsd"),
    }),
  );
  validator = XsdValidator.fromDoc(XmlDocument.fromBuffer(local("musicxml.xsd"), { url: "musicxml.xsd" }));
  return validator;
}

/** What is invalid against the schema of MusicXML 4.0: the first complaint; undefined for a valid score. */
export function invalidity(bytes: Uint8Array): string | undefined {
  const document = documentOf(bytes);
  if (!document) return "not well-formed";
  try {
    schema().validate(document);
    return undefined;
  } catch (error) {
    return error instanceof Error ? error.message : String(error);
  } finally {
    document.dispose();
  }
}
