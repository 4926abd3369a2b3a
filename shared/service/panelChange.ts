import { solveBoth } from "../fingering/jumps.ts";
import type { HandName } from "../fingering/model.ts";
import { notePrinted, writeFingering } from "../fingering/write.ts";
import { locksOf, searchLine } from "../fingering/written.ts";
import { mainFingeringSite, removeFingering, setFingering } from "../musicxml/fingeringEdits.ts";
import type { Permission } from "../musicxml/guard.ts";
import type { Edit } from "../text/edits.ts";
import { InputError } from "../text/problem.ts";
import type { Analysis } from "./analyse.ts";
import { fingerAt } from "./fingerAt.ts";
import { fingerScore } from "./fingerScore.ts";
import { keepWithout, wayEdits } from "./panelWays.ts";
import { passagesOf } from "./passagesOf.ts";
import { pluckedNote } from "./pluckedNote.ts";
import { proposal } from "./proposal.ts";

/** Something that the panel asks for: a change of the score, or of what is said about it. */
export type PanelChange =
  | ScoreChange
  /** Marks a finding as intended. Numbers from 0; plain words stand for the reason without one. */
  | { readonly kind: "accept"; readonly finding: number; readonly reason?: string };

/** Something that the panel asks to change in the score. */
export type ScoreChange =
  /** Fingers bars, or the whole score without them. `keep` completes what is printed, `fresh` fingers anew. */
  | {
      readonly kind: "finger";
      readonly mode: "keep" | "fresh";
      readonly hand: HandName | "both";
      readonly bars?: { readonly first: string; readonly last: string };
    }
  /** Prints the placing that a note belongs to. */
  | { readonly kind: "placing"; readonly note: string }
  /** Prints another way to finger the note's placing: its place in what was offered for the note. */
  | { readonly kind: "way"; readonly note: string; readonly way: number }
  /** Prints a finger at a note, and so keeps it. */
  | { readonly kind: "keep"; readonly note: string; readonly finger: number }
  /** Takes the printed finger of a note away, so that one is proposed again. */
  | { readonly kind: "free"; readonly note: string }
  /** Makes one occurrence of a passage, or all of them, be fingered as another one is. Numbers from 0. */
  | {
      readonly kind: "alike";
      readonly passage: number;
      readonly model: number;
      readonly target: number | "all";
    }
  /** A finding's fix. Numbers from 0. */
  | { readonly kind: "fix"; readonly finding: number; readonly fix: number };

/** Edits to a score's text and what they do, as an undo list shows it. */
export interface PanelEdits {
  readonly label: string;
  readonly edits: readonly Edit[];
  /** What they change besides fingering and brackets. */
  readonly permission?: Permission;
}

/**
 * The edits that a change comes to; none when everything is printed as it would be.
 * @throws InputError when it does not fit the score, and for data that is no change at all.
 */
export function panelEdits(analysis: Analysis, change: ScoreChange): PanelEdits {
  if (!analysis.harp) throw new InputError(analysis.problems[0]?.message ?? "The score could not be read.");
  switch (change.kind) {
    case "finger":
      return {
        label: change.bars ? `Finger bars ${change.bars.first} to ${change.bars.last}` : "Finger the score",
        edits: fingerScore(analysis, change).edits,
      };
    case "placing": {
      const { note } = pluckedNote(analysis, change.note);
      return {
        label: "Print this placing",
        edits: fingerAt(analysis, note.site.span.start, "placing", "keep"),
      };
    }
    case "way": {
      const edits = wayEdits(analysis, change.note, change.way);
      if (!edits)
        throw new InputError("There is no such way to finger this placing. Choose one that is offered.");
      return { label: "Use another fingering", edits };
    }
    case "keep":
      return {
        label: `Print finger ${change.finger}`,
        edits: keepEdits(analysis, change.note, change.finger),
      };
    case "free":
      return { label: "Take the finger away", edits: freeEdits(analysis, change.note) };
    case "alike":
      return { label: "Finger a passage alike", edits: alikeEdits(analysis, change) };
    case "fix": {
      const fix = analysis.findings[change.finding]?.fixes[change.fix];
      if (!fix) throw new InputError("There is no such fix any more. Look again at what was found.");
      return { label: fix.title, edits: fix.edits(), permission: fix.permission };
    }
    default:
      throw new InputError("This is no change that the panel can make.");
  }
}

function keepEdits(analysis: Analysis, id: string, finger: number): Edit[] {
  if (![1, 2, 3, 4].includes(finger))
    throw new InputError(`${finger} is no finger of a harpist: 1 to 4 are.`);
  const { place } = pluckedNote(analysis, id);
  const note = notePrinted(place.written.line.events[place.event]!.notes[place.stringAt]!);
  const placement = place.written.hand === "right" ? "above" : "below";
  return [setFingering(analysis.text, note.site, String(finger), placement) ?? []].flat();
}

function freeEdits(analysis: Analysis, id: string): Edit[] {
  const { place } = pluckedNote(analysis, id);
  const { notes } = place.written.line.events[place.event]!;
  const { site } = notePrinted(notes[place.stringAt]!);
  const main = mainFingeringSite(site);
  return main ? [removeFingering(analysis.text, site, main)] : [];
}

function alikeEdits(
  analysis: Analysis,
  { passage, model, target }: Extract<PanelChange, { kind: "alike" }>,
): Edit[] {
  const found = passagesOf(analysis).classes[passage];
  if (!found?.occurrences[model])
    throw new InputError("There is no such passage any more. Look again at the map.");
  const targets = found.occurrences
    .map((_, k) => k)
    .filter((k) => k !== model && (target === "all" || k === target));
  return targets.flatMap((k) => likeModel(analysis, found, model, k));
}

/** The edits that print one occurrence as another one is fingered; the music around it decides the rest. */
function likeModel(
  analysis: Analysis,
  { occurrences, alignment }: ReturnType<typeof passagesOf>["classes"][number],
  model: number,
  target: number,
): Edit[] {
  const from = occurrences[model]!;
  const to = occurrences[target]!;
  const handOf = (hand: HandName) => analysis.hands.find((written) => written.hand === hand)!;
  const source = proposal(analysis, handOf(from.hand));
  const written = handOf(to.hand);
  const { events } = handOf(from.hand).line;
  const line = searchLine(written.line);
  const printed = locksOf(written, keepWithout(to));
  const fingers = [...printed.fingers];
  const joined: (boolean | undefined)[] = line.events.map(() => undefined);
  alignment[model]!.forEach((event, m) => {
    const other = alignment[target]![m];
    if (event === undefined || other === undefined) return;
    fingers[other] = line.events[other]!.strings.map((string) => {
      const at = events[event]!.notes.findIndex((note) => note.string - from.steps === string - to.steps);
      return at < 0 ? undefined : source.fingers[event]?.[at];
    });
    if (alignment[model]![m + 1] === event + 1 && alignment[target]![m + 1] === other + 1)
      joined[other] = source.placings.some(({ first, last }) => first <= event && last > event);
  });
  const lines = Object.fromEntries(
    analysis.hands.map((each) => [each.hand, { ...searchLine(each.line), locks: locksOf(each) }]),
  );
  const solution = solveBoth(
    { ...lines, [to.hand]: { ...line, locks: { ...printed, fingers, joined } } },
    analysis.weights,
  )[to.hand]!;
  const range = { first: to.first, last: to.last };
  return writeFingering(analysis, [{ written, solution, range }], { replace: true });
}
