import type { WrittenHand } from "../fingering/written.ts";
import { removeFingering, setFingering } from "../musicxml/fingeringEdits.ts";
import type { FingeringSite } from "../musicxml/noteSite.ts";
import { isPlucked } from "../score/handLines.ts";
import { handOf, handOfNote } from "../score/hands.ts";
import type { FingeredRest, Note, Part, WrittenFingering } from "../score/model.ts";
import { pitchName } from "../score/pitch.ts";
import { playedOrder } from "../score/playedOrder.ts";
import { add, compare, type Rational } from "../score/rational.ts";
import { firstWhere } from "../text/firstWhere.ts";
import { defineRule, type Fix, type Report, type RuleInput } from "./define.ts";

const move = { title: "Move this finger to the note that is plucked", safety: "ask" } as const;
const remove = { title: "Remove this fingering", safety: "ask" } as const;

export const fingerOnUnpluckedNote = defineRule({
  id: "finger-on-unplucked-note",
  severity: "warning",
  summary: "A finger stands at the continuation of a tie, at a cue note or at a rest.",
  why: "A tied note sounds on and a cue belongs to another player: neither is plucked, no more than a rest. The finger is likely meant for another note, or was left over from an edit.",
  bad: "C4:2 D4:1 E4_:2 E4:1",
  good: "C4:2 D4:1 E4_:2 E4",
  fixes: [move, remove],
  check(input, report) {
    for (const part of input.harp.parts) {
      for (const rest of part.fingeredRests) reportRest(input, part, rest, report);
      for (const note of part.notes) {
        if (note.fingerings.length === 0 || isPlucked(note) || !note.printed) continue;
        const hand = handPlaying(input, part, note);
        const told = note.fingerings.filter(({ text, substitution }) => text !== "" && !substitution);
        if (!hand || told.length === 0 || holdsFingersOfOthers(part, note)) continue;
        const tied = note.continues ? pluckedNote(input, part, note) : undefined;
        if (
          note.cue
            ? isOssia(part, note)
            : isPluckedOnRepeat(input, note) || isTakenOver(input, part, tied, note)
        )
          continue;
        const [first] = told;
        report({
          span: first!.span,
          message: note.cue
            ? `${pitchName(note.pitch)} is a cue and has finger ${first!.text}; a cue is not plucked.`
            : `${pitchName(note.pitch)} sounds on from a tie and has finger ${first!.text}; it is not plucked again.`,
          at: { hand, event: eventNear(input, hand, tied ?? note), note },
          fixes: fixesFor(input, hand, note, told, tied),
        });
      }
    }
  },
});

function reportRest(
  input: RuleInput,
  part: Part,
  rest: FingeredRest,
  report: (report: Report) => void,
): void {
  const { text, harp, hands } = input;
  const { site } = rest;
  const name = handOf(harp, part, rest.staff);
  const hand = hands.find((each) => each.hand === name) ?? hands[0];
  const fingerings = site.notations
    .flatMap(({ technical }) => technical.flatMap((each) => each.fingerings))
    .filter((fingering) => fingering.text !== "");
  const [first] = fingerings;
  if (!hand || !first || !/<rest\b/.test(text.slice(site.startTag.end, site.span.end))) return;
  report({
    span: first.span,
    message: `A rest has finger ${first.text}; nothing is plucked there.`,
    at: { hand, event: eventNear(input, hand, rest), note: rest },
    fixes: [
      { ...remove, edits: () => fingerings.map((fingering) => removeFingering(text, site, fingering)) },
    ],
  });
}

function handPlaying({ hands, harp }: RuleInput, part: Part, note: Note): WrittenHand | undefined {
  const name = handOfNote(harp, part, note);
  return name && (hands.find(({ hand }) => hand === name) ?? hands[0]);
}

/** The first event that does not sound before a note or a rest, or the last one. */
function eventNear(
  { score }: RuleInput,
  { line }: WrittenHand,
  note: Pick<Note, "measure" | "position">,
): number {
  const onset = add(score.measureStarts[note.measure.index]!, note.position);
  const { events } = line;
  return Math.min(
    events.length - 1,
    firstWhere(events.length, (i) => compare(events[i]!.onset, onset) >= 0),
  );
}

/** All fingers of its chord stand on it: whose is whose cannot be told. */
function holdsFingersOfOthers(part: Part, note: Note): boolean {
  for (let next = part.notes[note.index + 1]; next?.chord; next = part.notes[next.index + 1]) {
    if (next.fingerings.some(({ writtenOn }) => writtenOn === note)) return true;
  }
  return note.fingerings.some(({ writtenOn }) => writtenOn !== undefined);
}

/** So many notes before a tie's continuation are looked at for the note that it sounds on from. */
const mostNotesBetween = 400;

/** The note that is plucked and sounds on in this one; undefined when it is not found nearby. */
function pluckedNote({ score }: RuleInput, part: Part, note: Note): Note | undefined {
  const onset = ({ measure, position }: Note): Rational => add(score.measureStarts[measure.index]!, position);
  const least = Math.max(0, note.index - mostNotesBetween);
  let found: Note | undefined;
  let later = note;
  for (let index = note.index - 1; index >= least; index -= 1) {
    const other = part.notes[index]!;
    if (other.string !== note.string || !other.tie.start || compare(onset(other), onset(later)) >= 0)
      continue;
    if (isPlucked(other)) {
      found = other;
      break;
    }
    later = other;
  }
  return found;
}

/** A tie over the barline that a repeat comes back to: the second time the note is plucked. */
function isPluckedOnRepeat({ score }: RuleInput, { measure, position }: Note): boolean {
  return position.n === 0 && playedOrder(score).jumps.some(({ to }) => to === measure.index);
}

/** Tied from the other hand: the finger that takes the string over is worth printing. */
function isTakenOver({ harp }: RuleInput, part: Part, plucked: Note | undefined, note: Note): boolean {
  return plucked !== undefined && handOfNote(harp, part, plucked) !== handOfNote(harp, part, note);
}

/** Small notes that all have fingers are another way to play the bar, not a cue. */
const fewestNotesOfOssia = 3;

function isOssia(part: Part, { measure, staff, voice }: Note): boolean {
  const small = part.notes.filter(
    (note) => note.cue && note.measure === measure && note.staff === staff && note.voice === voice,
  );
  return small.length >= fewestNotesOfOssia && small.every(({ fingerings }) => fingerings.length > 0);
}

function fixesFor(
  { text }: RuleInput,
  { hand }: WrittenHand,
  note: Note,
  told: readonly WrittenFingering[],
  plucked: Note | undefined,
): Fix[] {
  const sites = told.map((fingering) => siteOf(note, fingering)).filter((site) => site !== undefined);
  if (sites.length !== told.length) return [];
  const removal = (): ReturnType<Fix["edits"]> => sites.map((site) => removeFingering(text, note.site, site));
  const [first] = told;
  const isFinger =
    told.length === 1 && first!.number !== undefined && first!.number >= 1 && first!.number <= 4;
  if (!plucked || plucked.fingerings.length > 0 || !isFinger) return [{ ...remove, edits: removal }];
  const moved = (): ReturnType<Fix["edits"]> => {
    const added = setFingering(text, plucked.site, first!.text, hand === "right" ? "above" : "below");
    return added ? [added, ...removal()] : removal();
  };
  return [
    { ...move, edits: moved },
    { ...remove, edits: removal },
  ];
}

function siteOf(note: Note, { span }: WrittenFingering): FingeringSite | undefined {
  return note.site.notations
    .flatMap((notations) => notations.technical)
    .flatMap((technical) => technical.fingerings)
    .find((site) => site.span.start === span.start);
}
