import type { Dice } from "./randomLines.ts";
import type { Change } from "./scriptedEditor.ts";

/** What is typed and pasted: line ends of all kinds, characters of one to four bytes and of two UTF-16 units. */
const pieces = ["a", " ", "é", "€", "𝄞", "🎶🎶", "\n", "\r\n", "\r", "\r\n\r\n", "x y", "line\nline", ""];

/** A change somewhere between two offsets: an insertion, a replacement or a removal of up to `most` units. */
export function randomChange(dice: Dice, text: string, from: number, to: number, most = 12): Change {
  const start = wholeCharacters(text, dice.whole(from, to), to);
  const end = wholeCharacters(text, dice.chance(0.4) ? start : Math.min(to, start + dice.whole(0, most)), to);
  return { start, end: Math.max(start, end), text: dice.oneOf(pieces) };
}

/** The change that takes a change of a text back, to be applied to the text that it left; as an editor can name it. */
export function undoing(text: string, { start, end, text: typed }: Change): Change {
  const after = text.slice(0, start) + typed + text.slice(end);
  const undone = { start, end: start + typed.length, text: text.slice(start, end) };
  while (splits(after, undone.start)) {
    undone.start -= 1;
    undone.text = after[undone.start] + undone.text;
  }
  while (splits(after, undone.end)) {
    undone.text += after[undone.end];
    undone.end += 1;
  }
  return undone;
}

/** The next offset that an editor can name: not within a character or a CRLF. */
function wholeCharacters(text: string, offset: number, most: number): number {
  let at = offset;
  while (at < most && splits(text, at)) at += 1;
  return at;
}

function splits(text: string, at: number): boolean {
  const before = text.charCodeAt(at - 1);
  return (before >= 0xd800 && before < 0xdc00) || (before === 13 && text.charCodeAt(at) === 10);
}
