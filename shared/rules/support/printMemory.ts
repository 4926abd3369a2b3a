import type { Solution } from "../../fingering/model.ts";
import { eventKey } from "../../fingering/solutionMemory.ts";
import type { Weights } from "../../fingering/weights.ts";
import type { WrittenHand } from "../../fingering/written.ts";
import { orFound } from "../../text/orFound.ts";
import { RecentAnswers } from "../../text/recentAnswers.ts";
import type { RuleInput } from "../define.ts";
import { printedBrackets } from "./printedBrackets.ts";
import { printedLine } from "./printedLine.ts";

/** Answers about so many events are remembered at least, and twice as many at most. */
const fewestEvents = 60_000;
/** So many different events are numbered before the numbers begin anew. */
const mostNumbers = 60_000;

/** What was found out about stretches of print, to be used where the same is printed again, after an edit elsewhere say. */
export class PrintMemory {
  readonly solutions = new RecentAnswers<Solution>(fewestEvents);
  #numbers = new Map<string | number, number>();
  #next = 0;

  /** A number for a content; no other content ever has it. */
  numberOf(content: string | number): number {
    let number = this.#numbers.get(content);
    if (number === undefined) {
      if (this.#numbers.size >= mostNumbers) this.#numbers = new Map();
      number = this.#next++;
      this.#numbers.set(content, number);
    }
    return number;
  }
}

const ofReading = new WeakMap<RuleInput["hands"], PrintMemory>();

/** The memory of a score that is read again and again, or else one for this reading. */
export function printMemoryOf({ printMemory, hands }: RuleInput): PrintMemory {
  return printMemory ?? orFound(ofReading, hands, () => new PrintMemory());
}

/** What one rule keeps for as long as the memory of a score's print. */
export function keptWithPrint<T>(make: () => T): (input: RuleInput) => T {
  const kept = new WeakMap<PrintMemory, T>();
  return (input) => orFound(kept, printMemoryOf(input), make);
}

/** A hand's print as a text, of which a stretch is a part: stretches are alike when their texts are. */
interface PrintText {
  readonly memory: PrintMemory;
  readonly weights: Weights;
  /** Which hand it is, and what things cost. */
  readonly head: string;
  /** Of each event two characters for the time since the event before and two for the rest. */
  readonly events: string;
}

const texts = new WeakMap<WrittenHand, PrintText>();

/** A text that is the same wherever the same hand has the same music and print in as many events. */
export function printText(input: RuleInput, hand: WrittenHand, from: number, to: number): string {
  const memory = printMemoryOf(input);
  let text = texts.get(hand);
  if (text?.memory !== memory || text.weights !== input.weights) {
    text = wholeText(memory, input, hand);
    texts.set(hand, text);
  }
  return text.head + text.events.slice(4 * from + 2, 4 * to + 4);
}

/** Of each event all that a search looks at: music, digits, and how far brackets reach. */
function wholeText(memory: PrintMemory, input: RuleInput, hand: WrittenHand): PrintText {
  const { events, locks } = printedLine(hand);
  const brackets = events.map(() => "");
  for (const { first, last } of printedBrackets(input, hand)) {
    for (let i = first; i <= last; i += 1) brackets[i] += ` ${first - i},${last - i}`;
  }
  let text = "";
  let before = 0;
  for (let i = 0; i < events.length; i += 1) {
    const event = events[i]!;
    const content = `${eventKey(event)};${hand.fingers[i]!.join()};${locks.joined?.[i]}${brackets[i]}`;
    text += asCharacters(memory.numberOf(event.atMicros - before));
    text += asCharacters(memory.numberOf(content));
    before = event.atMicros;
  }
  const head = memory.numberOf(`${hand.hand} ${JSON.stringify(input.weights)}`);
  return { memory, weights: input.weights, head: asCharacters(head), events: text };
}

function asCharacters(number: number): string {
  return String.fromCharCode(number >>> 16, number & 0xffff);
}
