import { expect, test } from "vitest";
import { blankChange, spanAfter } from "../../shared/text/blankChange.ts";

test("blanks between two tags are told from everything else", () => {
  const text = '<a>\n  <b c="x"/> <d>e</d><f>  </f>\n</a>';
  const changed = (before: string, old: string, typed: string) =>
    blankChange(before, before.replace(old, typed));
  expect(changed(text, "<a>\n  <b", "<a>\t<b")).toEqual({
    before: { start: 3, end: 6 },
    growth: -2,
    afterStartTag: true,
    beforeEndTag: false,
  });
  expect(changed(text, "</d><f>", "</d> \n<f>")).toMatchObject({
    before: { start: 25, end: 25 },
    growth: 2,
    afterStartTag: false,
    beforeEndTag: false,
  });
  expect(changed(text, "\n</a>", "</a>")).toMatchObject({ growth: -1, beforeEndTag: true });
  // Within a leaf, a tag or words they may say something.
  expect(changed(text, "<f>  <", "<f> <")).toBeUndefined();
  expect(changed(text, "e<", "e <")).toBeUndefined();
  expect(changed(text, "<b c", "<b  c")).toBeUndefined();
  expect(changed(text, 'x"', ' x"')).toBeUndefined();
  expect(changed(text, "<b", " <!-- --><b")).toBeUndefined();
  expect(changed(text, "<a", "<a")).toBeUndefined();
  for (const beside of ["<!-- --> <b/>", "<b/> <!-- -->", "<?p?> <b/>", "<![CDATA[<b> <b>]]>"]) {
    const words = `<a>${beside}</a>`;
    expect(changed(words, "> <", ">  <")).toBeUndefined();
  }
});

test("a span lies where its element lies now, or cannot be told", () => {
  const text = "<a><b/><c>1</c> <d/></a>";
  const typed = (offset: number) => blankChange(text, `${text.slice(0, offset)}  ${text.slice(offset)}`)!;
  const spanOf = (part: string, from = text) => {
    const start = from.indexOf(part);
    return { start, end: start + part.length };
  };
  for (const offset of [7, 15, 16]) {
    const now = `${text.slice(0, offset)}  ${text.slice(offset)}`;
    for (const element of ["<a>", "<b/>", "<c>1</c>", "<d/>"])
      expect(spanAfter(typed(offset), spanOf(element))).toEqual(spanOf(element, now));
  }
  // An element begins after the blanks that come before it; content of the one around begins before them.
  expect(spanAfter(typed(3), spanOf("<b/>"))).toBeUndefined();
  expect(spanAfter(typed(20), spanOf("<d/>"))).toBeUndefined();
  expect(spanAfter(typed(7), { start: 7, end: 7 })).toBeUndefined();
  expect(
    spanAfter(blankChange("<a><b/>  <c/></a>", "<a><b/> <c/></a>")!, { start: 8, end: 12 }),
  ).toBeUndefined();
});
