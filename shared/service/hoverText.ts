import type { ExplainedPlacing, WeighedChoice } from "./explain.ts";
import type { NoteView, PluckedView } from "./noteView.ts";
import { directionWords, unitsText } from "./words.ts";

/** How the reader of the text shows it. */
export type TextFormat = "markdown" | "plaintext";

/** What is shown when the pointer rests on a note. */
export function hoverText(view: NoteView, format: TextFormat): string {
  const say = format === "markdown" ? markdown : plaintext;
  const heading = `${say.strong(view.pitch)}, ${view.hand} hand, bar ${say.plain(view.bar)}, beat ${view.beat}`;
  return [
    say.lines([heading, view.string]),
    ...(view.plucked ? pluckedParagraphs(view, view.plucked, say) : [notPlucked(view, say)]),
  ].join("\n\n");
}

function pluckedParagraphs(view: NoteView, plucked: PluckedView, say: Speaker): string[] {
  const others = otherFingers(plucked.choice);
  return [
    say.lines(fingerLines(view, plucked, say)),
    ...(plucked.moves.length > 0 ? [say.lines(plucked.moves)] : []),
    ...plucked.placings.map((placing) => placingText(placing, say)),
    ...(others.length > 0 ? [`Other fingers:\n${say.list(others)}`] : []),
  ];
}

function notPlucked(view: NoteView, say: Speaker): string {
  const marked = view.printed.length > 0 ? ` It is marked ${printedText(view, say)}.` : "";
  return `Not plucked here: a tie leads to it, or it is a cue or not printed. It takes no finger.${marked}`;
}

function fingerLines(view: NoteView, { finger }: PluckedView, say: Speaker): string[] {
  const printed =
    view.printed.length > 0 ? `Printed finger: ${printedText(view, say)}` : "No finger is printed.";
  if (finger === undefined) return [printed, "The hand has no finger left for it."];
  return view.printed.includes(String(finger))
    ? [printed]
    : [printed, `Proposed finger: ${say.strong(String(finger))}`];
}

function printedText(view: NoteView, say: Speaker): string {
  return view.printed.map((text) => say.strong(say.plain(text))).join(", ");
}

function placingText(placing: ExplainedPlacing, say: Speaker): string {
  const notes = placing.notes.map(
    ({ pitch, finger, chord }, i) =>
      `${i === 0 ? "" : chord ? " + " : " · "}${pitch} ${say.strong(String(finger ?? "-"))}`,
  );
  const way = placing.notes.length > 1 ? `, ${directionWords[placing.direction]}` : "";
  const heading = `Placing${way}: ${notes.join("")}. ${sentence(placing.jointText)} Cost ${unitsText(placing.totalMilli)}:`;
  const terms = placing.terms
    .filter(({ milli }) => milli !== 0)
    .map(({ milli, words }) => `${words}: ${unitsText(milli)}`);
  return `${heading}\n${say.list(terms)}`;
}

/** The other fingers with what each costs more, and the present one where its neighbours could do better. */
function otherFingers({ current, choices }: WeighedChoice): string[] {
  return choices
    .filter(({ finger, moreMilli }) => finger !== current || moreMilli < 0)
    .map(({ finger, comparison }) =>
      finger === current
        ? `${finger} with other fingers around it ${comparison.words}.`
        : `${finger} instead ${comparison.words}.`,
    );
}

function sentence(words: string): string {
  return `${words.charAt(0).toUpperCase()}${words.slice(1)}.`;
}

interface Speaker {
  strong(text: string): string;
  /** Text from the score, with nothing in it taken for markup. */
  plain(text: string): string;
  /** Lines that follow each other closely. */
  lines(lines: readonly string[]): string;
  list(items: readonly string[]): string;
}

const plaintext: Speaker = {
  strong: (text) => text,
  plain: (text) => text,
  lines: (lines) => lines.join("\n"),
  list: (items) => items.map((item) => `- ${item}`).join("\n"),
};

const markdown: Speaker = {
  strong: (text) => `**${text}**`,
  plain: (text) => text.replace(/[\\`*_{}[\]()#+\-.!|<>~&]/g, "\\$&"),
  lines: (lines) => lines.join("  \n"),
  list: (items) => `\n${items.map((item) => `- ${item}`).join("\n")}`,
};
