import type { WrittenHand } from "../fingering/written.ts";
import type { PrintedBracket } from "../score/brackets.ts";
import type { BracketEnd, Note } from "../score/model.ts";
import type { Edit } from "../text/edits.ts";
import { orFound } from "../text/orFound.ts";
import { defineRule, type Fix, type RuleInput } from "./define.ts";
import { bracketWords } from "./support/bracketShape.ts";
import { inWords } from "./support/places.ts";

type Side = "above" | "below";

const move = { title: "Move this bracket to the side of the others", safety: "ask" } as const;
const giveVoice = { title: "Give this bracket to the voice of its notes", safety: "ask" } as const;

export const bracketOnOtherSide = defineRule({
  id: "bracket-on-other-side",
  severity: "info",
  summary:
    "A bracket stands on the other side of the staff than the others of its voice, or names a voice that has no note under it.",
  why: "Brackets are read at a glance where they always stand in the same place; one that is tied to another voice moves away from its notes as soon as a program lays out the page.",
  bad: "(C4:2 E4:1) (D4:2 F4:1) (C4:2 E4:1) (^D4:2 F4:1) | (C4:2 E4:1) (D4:2 F4:1) r/2",
  good: "(C4:2 E4:1) (D4:2 F4:1) (C4:2 E4:1) (D4:2 F4:1) | (C4:2 E4:1) (D4:2 F4:1) r/2",
  fixes: [move, giveVoice],
  check(input, report) {
    for (const hand of input.hands) {
      const usual = usualSides(hand);
      for (const bracket of hand.brackets.brackets) {
        const fault = sideFault(input, hand, bracket, usual) ?? voiceFault(input, hand, bracket);
        if (!fault) continue;
        report({
          span: fault.end.span,
          message: `The bracket ${bracketWords(hand, bracket)} ${fault.words}.`,
          at: { hand, event: bracket.first },
          over: { first: bracket.first, last: bracket.last },
          fixes: fault.fixes,
        });
      }
    }
  },
});

interface Fault {
  readonly end: BracketEnd;
  readonly words: string;
  readonly fixes: readonly Fix[];
}

/** So many brackets show a style, when so large a share of them agrees. */
const style = { least: 4, share: 0.8 };

/** By staff and voice, the side on which nearly all brackets stand. */
function usualSides(hand: WrittenHand): ReadonlyMap<string, Side> {
  const counts = new Map<string, Record<Side, number>>();
  for (const bracket of hand.brackets.brackets) {
    const { placement } = bracket.start;
    if (!placement) continue;
    orFound(counts, voiceKey(hand, bracket), () => ({ above: 0, below: 0 }))[placement] += 1;
  }
  const usual = new Map<string, Side>();
  for (const [key, { above, below }] of counts) {
    const side = above > below ? "above" : "below";
    const most = Math.max(above, below);
    if (most >= style.least && most >= style.share * (above + below)) usual.set(key, side);
  }
  return usual;
}

function voiceKey(hand: WrittenHand, { first, start }: PrintedBracket): string {
  const { note } = hand.line.events[first]!.notes[0]!;
  return `${start.staff} ${start.voice ?? note.voice}`;
}

function sideFault(
  input: RuleInput,
  hand: WrittenHand,
  bracket: PrintedBracket,
  usual: ReadonlyMap<string, Side>,
): Fault | undefined {
  const { start, stop } = bracket;
  if (!start.placement || !stop.placement) return undefined;
  const side = usual.get(voiceKey(hand, bracket));
  const fixes = (to: Side): Fix[] => {
    const edits = [start, stop].map((end) => sideEdits(input, end, to));
    if (edits.some((each) => each === undefined)) return [];
    return [{ ...move, edits: () => edits.flatMap((each) => each ?? []) }];
  };
  if (start.placement !== stop.placement) {
    const words = `starts ${start.placement} the staff and stops ${stop.placement} it`;
    return { end: stop, words, fixes: fixes(side ?? start.placement) };
  }
  if (!side || side === start.placement || isWithDigits(input, hand, bracket)) return undefined;
  const words = `stands ${start.placement} the staff; the other brackets of this voice stand ${side} it`;
  return { end: start, words, fixes: fixes(side) };
}

/** Its digits stand there as well, as between the staves: then it was put there with them. */
function isWithDigits(
  { text }: RuleInput,
  hand: WrittenHand,
  { first, last, start }: PrintedBracket,
): boolean {
  const sides = notesUnder(hand, first, last)
    .flatMap(({ fingerings }) => fingerings)
    .flatMap(
      ({ span }) =>
        /^<fingering\b[^>]*\bplacement\s*=\s*["'](above|below)/.exec(text.slice(span.start, span.end))?.[1] ??
        [],
    );
  return sides.length > 0 && sides.every((side) => side === start.placement);
}

function voiceFault(
  input: RuleInput,
  hand: WrittenHand,
  { first, last, start, stop, part }: PrintedBracket,
): Fault | undefined {
  const end = [start, stop].find(({ voice }) => voice !== undefined && !hasVoice(hand, first, last, voice));
  if (!end || !part.notes.some(({ voice, staff }) => voice === end.voice && staff === end.staff))
    return undefined;
  const voices = [...new Set(notesUnder(hand, first, last).map(({ voice }) => voice))];
  const [voice] = voices;
  const edits = [start, stop].map((each) => voiceEdits(input, each, voice!));
  const fixes = edits.some((each) => each === undefined)
    ? []
    : [{ ...giveVoice, edits: () => edits.flatMap((each) => each ?? []) }];
  return { end, words: `is given to voice ${end.voice}, its notes are of voice ${inWords(voices)}`, fixes };
}

function hasVoice(hand: WrittenHand, first: number, last: number, voice: string): boolean {
  for (let event = first; event <= last; event += 1) {
    for (const { note, doubles } of hand.line.events[event]!.notes) {
      if (note.voice === voice || doubles.some((other) => other.voice === voice)) return true;
    }
  }
  return false;
}

function notesUnder(hand: WrittenHand, first: number, last: number): Note[] {
  return hand.line.events
    .slice(first, last + 1)
    .flatMap(({ notes }) => notes.flatMap(({ note, doubles }) => [note, ...doubles]));
}

/** The direction's own text, when it holds nothing but the bracket. */
function directionText({ text }: RuleInput, { removal }: BracketEnd): string | undefined {
  const direction = text.slice(removal.start, removal.end);
  return /^<direction[\s>]/.test(direction) ? direction : undefined;
}

/** The edits that put one end on a side: its direction, and the hooks towards the notes. A place in tenths goes. */
function sideEdits(input: RuleInput, end: BracketEnd, side: Side): Edit[] | undefined {
  const placed = /^<direction\b[^>]*?\bplacement\s*=\s*["'](above|below)/.exec(
    directionText(input, end) ?? "",
  );
  if (!placed) return undefined;
  const edits: Edit[] = [];
  const at = end.removal.start + placed[0].length - placed[1]!.length;
  if (placed[1] !== side) edits.push({ span: { start: at, end: at + placed[1]!.length }, text: side });
  const tag = input.text.slice(end.span.start, end.span.end);
  const hook = side === "above" ? "down" : "up";
  const turned = tag
    .replace(/(\bline-end\s*=\s*["'])(up|down)/, `$1${hook}`)
    .replace(/\s+(default|relative)-y\s*=\s*("[^"]*"|'[^']*')/g, "");
  if (turned !== tag) edits.push({ span: end.span, text: turned });
  return edits;
}

/** The edit that names another voice; none where that is named already. */
function voiceEdits(input: RuleInput, end: BracketEnd, voice: string): Edit[] | undefined {
  const written = /<voice\b[^>]*>([^<&]*)<\/voice>/.exec(directionText(input, end) ?? "");
  if (!written || /[<&]/.test(voice)) return undefined;
  if (written[1]!.trim() === voice) return [];
  const start = end.removal.start + written.index + written[0].indexOf(">") + 1;
  return [{ span: { start, end: start + written[1]!.length }, text: voice }];
}
