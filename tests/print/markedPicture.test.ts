import { expect, test } from "vitest";
import { pictureBoxes } from "../../server/print/boxes.ts";
import { markedPicture } from "../../server/print/markedPicture.ts";

/** Two noteheads on one staff, as verovio 6.3 writes them; the first has a stem and a finger. */
const picture = `<svg viewBox="0 0 200 100" version="1.1" id="abc"><desc>x</desc><defs><g id="E0A4-abc"><path d="M0 0L9 9"/></g></defs><style>#abc g {}</style><svg class="definition-scale" color="black" viewBox="0 0 5000 2500"><g class="page-margin" transform="translate(100, 200)"><g id="s1" class="system"><g id="m1" class="measure"><g id="st1" class="staff"><path d="M0 729 L4000 729" stroke-width="13"/><path d="M0 1449 L4000 1449" stroke-width="13"/><g id="note-0-0" class="note"><g class="notehead"><use href="#E0A4-abc" transform="translate(1000, 1179) scale(0.72, 0.72)"/></g><g id="t1" class="stem"><path d="M1009 1200 L1009 1749" stroke-width="18"/></g></g><g id="note-0-1" class="note"><g class="notehead"><use href="#E0A4-abc" transform="translate(2000, 1000) scale(0.72, 0.72)"/></g></g></g><g id="f1" class="fing" data-startid="#note-0-0"><text x="1100" y="600" text-anchor="middle" font-size="0px"><tspan class="text"><tspan font-size="300px">4</tspan></tspan></text></g></g></g></g></svg></svg>`;

test("notes have their heads, stems and fingers", () => {
  const { heads, notes } = pictureBoxes(picture);
  expect(heads.get("note-0-0")).toMatchObject({ left: 1000, top: 1089, bottom: 1269 });
  expect(notes.get("note-0-0")!.bottom).toBe(1749);
  expect(notes.get("note-0-0")!.top).toBeLessThan(400);
  expect(heads.size).toBe(2);
});

test("a bracket goes from head to head, clear of fingers and staff, and the picture makes room for it", () => {
  const [firstNotes, lastNotes] = [["note-0-0"], ["note-0-1"]];
  const bracket = { hand: "right", firstNotes, lastNotes, notes: [...firstNotes, ...lastNotes] } as const;
  const { svg } = markedPicture(picture, { brackets: [bracket], marks: [], tinted: [] });
  const [, left, tip, , line, right] = /class="placing" d="M([\d.-]+) ([\d.-]+)L([\d.-]+) ([\d.-]+)L([\d.-]+)/
    .exec(svg)!
    .map(Number);
  const { heads } = pictureBoxes(picture);
  for (const [x, head] of [
    [left!, heads.get("note-0-0")!],
    [right!, heads.get("note-0-1")!],
  ] as const) {
    expect(x).toBeGreaterThan(head.left);
    expect(x).toBeLessThan(head.right);
  }
  expect(tip!).toBeLessThan(600 - 200);
  expect(line!).toBeLessThan(tip!);
  const [, top] = /viewBox="0 (-?[\d.]+)/.exec(svg)!.map(Number);
  expect((line! + 200) * (200 / 5000)).toBeGreaterThan(top!);
});

test("below the left hand, open where it goes on in another picture, and nothing for notes of another picture", () => {
  const bracket = {
    hand: "left",
    firstNotes: ["note-0-1"],
    lastNotes: ["note-0-9"],
    notes: ["note-0-1", "note-0-9"],
  } as const;
  const elsewhere = {
    hand: "left",
    firstNotes: ["note-0-8"],
    lastNotes: ["note-0-9"],
    notes: ["note-0-8", "note-0-9"],
  } as const;
  const { svg } = markedPicture(picture, { brackets: [bracket, elsewhere], marks: [], tinted: [] });
  const paths = [...svg.matchAll(/class="placing" d="([^"]*)"/g)].map(([, d]) => d!);
  expect(paths).toHaveLength(1);
  const [, , tip, , line] = /M([\d.-]+) ([\d.-]+)L([\d.-]+) ([\d.-]+)L/.exec(paths[0]!)!.map(Number);
  expect(line!).toBeGreaterThan(tip!);
  expect(tip!).toBeGreaterThan(1449);
  expect(paths[0]!.match(/L/g)).toHaveLength(2);
});

test("marks of one place stand beside each other's room", () => {
  const mark = (label: string) =>
    ({ label, notes: ["note-0-0"], hand: "right", severity: "warning" }) as const;
  const { svg } = markedPicture(picture, {
    brackets: [],
    marks: [mark("1"), mark("2")],
    tinted: ["note-0-1"],
  });
  const tops = [...svg.matchAll(/<rect x="[\d.]+" y="([\d.-]+)" width="306"/g)].map(([, y]) => Number(y));
  expect(tops).toHaveLength(2);
  expect(Math.abs(tops[0]! - tops[1]!)).toBeGreaterThanOrEqual(306);
  expect(svg).toContain('class="tint"');
});
