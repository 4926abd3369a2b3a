import { mainFingering } from "../fingering/written.ts";
import { removeFingering, replaceFingering } from "../musicxml/fingeringEdits.ts";
import type { FingeringSite, NoteSite } from "../musicxml/noteSite.ts";
import type { EventNote } from "../score/handLines.ts";
import type { Note, WrittenFingering } from "../score/model.ts";
import { pitchName } from "../score/pitch.ts";
import { defineRule, type Fix, type Severity } from "./define.ts";
import { refingerFixes } from "./support/fixes.ts";
import { wouldBeGap } from "./support/gaps.ts";

const anew = { title: "Give this note a finger from 1 to 4", safety: "ask" } as const;
const thumb = { title: "Write 1 for the thumb", safety: "ask" } as const;
const remove = { title: "Remove this fingering", safety: "ask" } as const;

export const fingerOutsideRange = defineRule({
  id: "finger-outside-range",
  severity: "error",
  summary: "A fingering names a finger that harpists do not use.",
  why: "Harp fingering runs from 1 (thumb) to 4 (ring finger); the little finger is too short for the strings.",
  bad: "C4:1 D4:5",
  good: "C4:2 D4:1",
  fixes: [anew, thumb, remove],
  check(input, report) {
    for (const hand of input.hands) {
      hand.line.events.forEach((event, index) => {
        if (event.notes.every(isPlain)) return;
        event.notes.forEach((entry, stringAt) => {
          for (const { note, fingering } of fingeringsOf(entry)) {
            const fault = faultOf(fingering.text);
            if (!fault) continue;
            const site = siteOf(note, fingering);
            const fixes: Fix[] = [];
            if (fault.kind === "digit" && mainFingering(entry)?.span === fingering.span) {
              fixes.push(...refingerFixes(input, hand, anew, [{ event: index, stringAt }]));
            }
            if (fault.kind === "thumb" && site) {
              fixes.push({ ...thumb, edits: () => [replaceFingering(input.text, site.fingering, "1")] });
            }
            // Better another finger than a gap.
            const leavesGap = fixes.length > 0 && wouldBeGap(hand, index, input.printedAmount);
            if (site && !leavesGap) {
              const { holder, fingering: element } = site;
              fixes.push({ ...remove, edits: () => [removeFingering(input.text, holder, element)] });
            }
            report({
              span: fingering.span,
              message: `${pitchName(note.pitch)} is marked ${fault.words}; harp fingering runs from 1 (thumb) to 4.`,
              severity: fault.severity,
              at: { hand, event: index },
              fixes,
            });
          }
        });
      });
    }
  },
});

/** One note with one finger at most, from 1 to 4, as nearly all are. */
function isPlain({ note: { fingerings }, doubles }: EventNote): boolean {
  if (doubles.length > 0 || fingerings.length > 1) return false;
  return fingerings.length === 0 || "1234".includes(fingerings[0]!.text);
}

function fingeringsOf(entry: EventNote): { note: Note; fingering: WrittenFingering }[] {
  return [entry.note, ...entry.doubles].flatMap((note) =>
    note.fingerings.map((fingering) => ({ note, fingering })),
  );
}

interface Fault {
  readonly kind: "digit" | "thumb" | "other";
  readonly severity: Severity;
  readonly words: string;
}

/** What stands between the fingers of a trill, a tremolo or a substitution: `21`, `1-2`, `2 1`, `3,2`. */
const betweenFingers = /[\s\-‐-―~_/.,;()]+/g;
/** Older prints mark the thumb with a cross, some with a letter. */
const thumbSigns = /^(\+|x|×|✕|t|th|p)$/i;

/** What is wrong with a fingering's text; undefined when it names fingers from 1 to 4, or nothing at all. */
function faultOf(text: string): Fault | undefined {
  const signs = text.replace(betweenFingers, "");
  if (/^[1-4]*$/.test(signs)) return undefined;
  if (/^\d+$/.test(signs)) return { kind: "digit", severity: "error", words: `with finger ${text}` };
  const words = `“${text}”`;
  if (thumbSigns.test(signs)) return { kind: "thumb", severity: "warning", words };
  return { kind: "other", severity: "warning", words };
}

/** Where a fingering stands; undefined when its element holds others as well. */
function siteOf(
  note: Note,
  { span, text, writtenOn }: WrittenFingering,
): { holder: NoteSite; fingering: FingeringSite } | undefined {
  const holder = (writtenOn ?? note).site;
  const fingering = holder.notations
    .flatMap((notations) => notations.technical)
    .flatMap((technical) => technical.fingerings)
    .find((site) => site.span.start === span.start && site.text === text);
  return fingering ? { holder, fingering } : undefined;
}
