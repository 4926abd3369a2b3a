import { defineRule } from "./define.ts";
import { unclearMarks } from "./support/unclearMarks.ts";

export const handMarkUnclear = defineRule({
  id: "hand-mark-unclear",
  severity: "warning",
  summary:
    "Words such as l.h. give notes to a hand and are never taken back, or give it what it cannot have.",
  why: "A mark holds until another one or a rest. A player who reads on cannot know when the hands are back at their own staves, unless the other hand's mark says it.",
  bad: "R: <l.h.>E4/4 | F4/4 | G4/4 | F4/4 // L: C3/4 | D3/4 | E3/4 | F3/4",
  good: "R: <l.h.>E4/4 | <r.h.>F4/4 | G4/4 | F4/4 // L: C3/4 | D3/4 | E3/4 | F3/4",
  fixes: [],
  check(input, report) {
    for (const { report: found } of unclearMarks(input)) report(found);
  },
});
