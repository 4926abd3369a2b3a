import { describe, expect, test } from "vitest";
import type { Finding } from "../../shared/rules/define.ts";
import { gather } from "../../shared/rules/gather.ts";

function finding(at: number, message: string, severity: Finding["severity"] = "info"): Finding {
  return {
    rule: "some-rule",
    severity,
    message,
    span: { start: at, end: at + 1 },
    related: [],
    fixes: [],
    places: [],
    part: "P1",
    hand: "right",
    bar: "1",
    beat: "1",
  };
}

function places(count: number, message: (i: number) => string, severity?: Finding["severity"]): Finding[] {
  return Array.from({ length: count }, (_, i) => finding(i, message(i), severity));
}

describe("remarks that say the same at many places", () => {
  const remark = (i: number): string => `C${i % 7} (3) to Bb${i % 5} (1) is a fifth, in bar ${i}.`;

  test("are told once from eight places on, at the first of them", () => {
    const [told, ...others] = gather(places(8, remark));
    expect(others).toEqual([]);
    expect(told?.message).toBe(`8 places: ${remark(0)}`);
    expect(told?.span.start).toBe(0);
    expect(told?.related.map(({ span }) => span.start)).toEqual([1, 2, 3, 4, 5, 6, 7]);
    expect(told?.related[0]?.message).toBe(remark(1));
  });

  test("stay single up to seven", () => {
    expect(gather(places(7, remark))).toEqual(places(7, remark));
  });

  test("are not mixed with what says something else, which keeps its place", () => {
    const others = [finding(100, "Another thing."), finding(101, "A third.")];
    const all = [finding(-1, "A first."), ...places(9, remark), ...others];
    expect(gather(all).map(({ message }) => message)).toEqual([
      "A first.",
      `9 places: ${remark(0)}`,
      "Another thing.",
      "A third.",
    ]);
  });

  test("are remarks only: errors and warnings have each a cause of their own", () => {
    for (const severity of ["error", "warning"] as const) {
      const all = places(20, remark, severity);
      expect(gather(all)).toEqual(all);
    }
  });

  test("lists of notes and bars of different length say the same", () => {
    const listed = (i: number): string =>
      `C4${", E4".repeat(i)} and G4 come back in bars 1${", 2".repeat(i)} and 9.`;
    expect(gather(places(8, listed))).toHaveLength(1);
  });
});
