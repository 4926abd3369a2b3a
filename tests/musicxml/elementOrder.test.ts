import { existsSync, readFileSync } from "node:fs";
import { join } from "node:path";
import { XMLParser } from "fast-xml-parser";
import { describe, expect, test } from "vitest";
import { childOrder, misplacedElements } from "../../shared/musicxml/elementOrder.ts";

const schema = join(import.meta.dirname, "../../../shared/standards/musicxml.xsd");

function misplaced(xml: string): string[] {
  return misplacedElements(xml, { start: 0, end: xml.length }).map(
    ({ parent, child, after, span }) =>
      `${child} after ${after} in ${parent}: ${xml.slice(span.start, span.end)}`,
  );
}

describe("the order of elements", () => {
  test("what stands too late or too early in a note", () => {
    expect(misplaced("<note><duration>4</duration><pitch/><voice>1</voice></note>")).toEqual([
      "pitch after duration in note: <pitch/>",
    ]);
    expect(misplaced("<note><rest/><type>half</type><voice>1</voice><dot/></note>")).toEqual([
      "voice after type in note: <voice>",
    ]);
    expect(
      misplaced("<direction><staff>1</staff><direction-type><words>a</words></direction-type></direction>"),
    ).toEqual(["direction-type after staff in direction: <direction-type>"]);
  });

  test("a parent is told of once, each parent by itself", () => {
    const note = "<note><lyric/><notations/><beam/></note>";
    expect(misplaced(note + note)).toHaveLength(2);
  });

  test("what may come again, in any order, or is not known, is in order", () => {
    expect(
      misplaced("<note><grace/><chord/><pitch/><tie/><tie/><dot/><dot/><notations/><notations/></note>"),
    ).toEqual([]);
    expect(misplaced("<note><grace/><cue/><pitch/></note><note><cue/><rest/><duration/></note>")).toEqual([]);
    expect(misplaced("<measure><note/><backup/><attributes/><note/><direction/></measure>")).toEqual([]);
    expect(misplaced("<note><pitch/><other-thing/><duration/></note>")).toEqual([]);
    expect(misplaced("<time><beats/><beat-type/><beats/><beat-type/></time>")).toEqual([]);
  });

  test("comments, sections of characters, instructions and values are no elements", () => {
    expect(misplaced("<note><pitch/><!-- <grace/> --><duration/></note>")).toEqual([]);
    expect(misplaced("<note><pitch/><![CDATA[<grace/>]]><?a <grace/>?><duration/></note>")).toEqual([]);
    expect(misplaced('<note><pitch a="<b"/></note>')).toEqual([]);
    expect(misplaced("<note a='/>'><pitch/><duration/></note>")).toEqual([]);
    expect(misplaced(`<note><duration a='">' b = "'/>"\n/><pitch c=">"></pitch></note>`)).toEqual([
      'pitch after duration in note: <pitch c=">">',
    ]);
    expect(misplaced("<note><duration/><own:pitch/><pitch-like/></note>")).toEqual([]);
  });
});

interface XsdNode {
  readonly name: string;
  readonly attributes: Readonly<Record<string, string>>;
  readonly children: readonly XsdNode[];
}

function xsdNodes(xml: string): readonly XsdNode[] {
  const parser = new XMLParser({ preserveOrder: true, ignoreAttributes: false, attributeNamePrefix: "" });
  const node = (raw: Record<string, unknown>): XsdNode[] =>
    Object.entries(raw).flatMap(([name, value]) =>
      name === ":@" || name === "#text"
        ? []
        : [
            {
              name: name.replace("xs:", ""),
              attributes: (raw[":@"] ?? {}) as Record<string, string>,
              children: (value as Record<string, unknown>[]).flatMap(node),
            },
          ],
    );
  return (parser.parse(xml) as Record<string, unknown>[]).flatMap(node);
}

/** Every order that a type allows, each element once; of a choice one branch at a time. */
function orders(nodes: readonly XsdNode[], groups: ReadonlyMap<string, XsdNode>): string[][] {
  const inside = (children: readonly XsdNode[]): string[][] =>
    children.reduce<string[][]>(
      (sofar, child) => sofar.flatMap((head) => ordersOf(child).map((tail) => [...head, ...tail])),
      [[]],
    );
  const ordersOf = ({ name, attributes, children }: XsdNode): string[][] => {
    if (name === "element") return [[attributes.name!]];
    if (name === "sequence") return inside(children);
    if (name === "choice") return children.flatMap(ordersOf);
    if (name === "group") return inside(groups.get(attributes.ref!)!.children);
    return [[]];
  };
  return inside(nodes);
}

// Source: MusicXML 4.0, musicxml.xsd.
describe.skipIf(!existsSync(schema))(
  "the orders are the schema's (skipped without ../shared/standards)",
  () => {
    // What is skipped is listed all the same.
    const text = existsSync(schema) ? readFileSync(schema, "utf8") : "<schema/>";
    const [root] = xsdNodes(text).filter(({ name }) => name === "schema");
    const named = (kind: string): Map<string, XsdNode> =>
      new Map(
        root!.children.flatMap((node) =>
          node.name === kind ? [[node.attributes.name!, node] as const] : [],
        ),
      );
    const types = named("complexType");
    const groups = named("group");

    test.each(Object.entries(childOrder))("%s", (parent, places) => {
      const allowed = orders(types.get(parent)!.children, groups);
      const rankOf = (name: string): number => places.findIndex((place) => [place].flat().includes(name));
      for (const order of allowed) {
        const ranks = order.map(rankOf);
        expect(ranks, order.join(" ")).toEqual([...ranks].sort((a, b) => a - b));
        expect(ranks, `all of ${order.join(" ")} are named`).not.toContain(-1);
      }
      expect(new Set(places.flat())).toEqual(new Set(allowed.flat()));
    });
  },
);
