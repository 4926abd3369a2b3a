import type { WrittenHand } from "../../fingering/written.ts";
import type { RuleInput } from "../define.ts";
import { leverChanges } from "./passages/levers.ts";

/** What ends a phrase at a note: the end of a slur, a breath, a caesura. */
const endOfPhrase = /<slur\b[^>]*\btype\s*=\s*["']stop|<(breath-mark|caesura)\b/;

/** True when the print asks the hand to come off after this event: a fermata, a staccato, or the end of a phrase. */
export function isToComeOff({ text }: RuleInput, hand: WrittenHand, event: number): boolean {
  const { held, notes } = hand.line.events[event]!;
  return (
    held ||
    notes.some(({ note, doubles }) =>
      [note, ...doubles].some(
        ({ marks, site }) => marks.staccato || endOfPhrase.test(text.slice(site.startTag.end, site.span.end)),
      ),
    )
  );
}

/** A hand that moves a lever is busy for so many events before the note that needs it. An estimate, no source. */
const eventsForLever = 4;

/** True when a lever has to be moved by a hand just after this event. Pedals leave the hands alone. */
export function isBusyWithLever({ hands, instrument }: RuleInput, hand: WrittenHand, event: number): boolean {
  if (instrument?.harp.mechanism !== "lever") return false;
  const { events } = hand.line;
  const from = events[event]!.atMicros;
  const to = events[Math.min(events.length - 1, event + eventsForLever)]!.atMicros;
  return leverChanges(hands).some((at) => at > from && at <= to);
}
