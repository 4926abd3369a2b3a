import { expect, test } from "vitest";
import { frozen } from "../../server/house/frozen.ts";
import { rules } from "../../shared/rules/registry.ts";
import { runRules } from "../../shared/rules/runRules.ts";
import { analyse, ruleInputOf } from "../../shared/service/analyse.ts";
import { demoText } from "../support/demo.ts";

test("the rules that are built in find the same in music that cannot be changed, and repair it alike", () => {
  for (const name of ["lantern-waltz", "evening-tide"] as const) {
    const input = () => ruleInputOf(analyse(demoText(name)))!;
    const told = (found: ReturnType<typeof runRules>) =>
      found.map(({ rule, message, span, fixes }) => ({
        rule,
        message,
        span,
        edits: fixes.map((fix) => fix.edits()),
      }));
    const free = told(runRules(input(), rules));
    expect(free.length).toBeGreaterThan(3);
    expect(told(runRules(frozen(input()), rules))).toEqual(free);
  }
});

test("nothing that a rule may rely on can be changed", () => {
  const { hands } = frozen(ruleInputOf(analyse(demoText("lantern-waltz")))!);
  const [hand] = hands;
  const [event] = hand!.line.events;
  const [entry] = event!.notes;
  const { note } = entry!;
  const all = [
    hands,
    hand,
    hand!.fingers,
    hand!.fingers[0],
    hand!.placings,
    hand!.placings[0],
    hand!.line.events,
    event,
    event!.notes,
    event!.onset,
    entry,
    note,
    note.pitch,
    note.measure,
    note.position,
    note.duration,
    note.fingerings,
    note.fingerings[0],
    note.fingerings[0]!.span,
  ];
  expect(all.filter((part) => !Object.isFrozen(part))).toEqual([]);
});
