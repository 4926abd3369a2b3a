import type { Direction, Finger, Joint, TermName } from "../fingering/model.ts";

/** What each cost is, in the words that harpists use. */
export const termWords: Readonly<Record<TermName, string>> = {
  base: "one more placing to prepare",
  stretch: "stretch between neighbouring fingers",
  outer: "wide between the outer fingers",
  cramped: "thumb and 2 on neighbouring strings in a wide hand",
  thumb: "the top note is not the thumb's",
  weakFinger: "4 is the weak finger",
  single: "not the usual finger for a note that stands alone",
  level: "a finger that this player does not use yet",
  slide: "a finger slides on to the next string",
  waiting: "fingers wait on the strings through a long note",
  separate: "comes off",
  leap: "jumps",
  sameString: "the same string again",
  overlap: "turns on the shared note",
  cross: "crosses",
  skip: "the crossing skips a string",
  turn: "the thumb misses the turn",
  glance: "both hands need the eyes at once",
  interlocked: "the hands work through each other",
  oneString: "both hands want the same string",
  tooWide: "too wide for the hand",
  tooMany: "more notes than the hand has fingers",
  tooFast: "too little time",
  lock: "what is printed cannot be kept here",
};

/** How a placing follows the one before it. */
export const jointWords: Readonly<Record<Joint, string>> = {
  start: "begins",
  separate: "comes off, places anew",
  overlap: "turns on the shared note",
  cross: "crosses",
};

/** `crosses instead of coming off`, `comes off twice instead of crossing`. */
export function insteadWords(now: Joint, before: Joint, count: number): string {
  const often = count > 1 ? ` ${timesText(count)}` : "";
  return `${doing[now]}${often} instead of ${done[before]}`;
}

const doing: Readonly<Record<Joint, string>> = {
  start: "begins",
  separate: "comes off",
  overlap: "turns on a shared note",
  cross: "crosses",
};

const done: Readonly<Record<Joint, string>> = {
  start: "beginning",
  separate: "coming off",
  overlap: "turning on a shared note",
  cross: "crossing",
};

export const directionWords: Readonly<Record<Direction, string>> = {
  rising: "rising",
  falling: "falling",
  together: "together",
};

/** The crossing as a player does it: rising, a finger goes under the thumb; falling, the thumb goes over a finger. */
export function crossingWords(rising: boolean, passing: Finger): string {
  return rising ? `crosses: ${passing} goes under the thumb` : `crosses: the thumb goes over ${passing}`;
}

/** A cost as people read it: `0.5`, `1.25`, `12`; at most two decimals. */
export function unitsText(milli: number): string {
  return String(Number((milli / 1000).toFixed(2)));
}

/** `once`, `twice`, `3 times`. */
export function timesText(count: number): string {
  return count === 1 ? "once" : count === 2 ? "twice" : `${count} times`;
}

/** `1 note`, `2 notes`. */
export function counted(count: number, one: string, many = `${one}s`): string {
  return `${count} ${count === 1 ? one : many}`;
}

/** What changed in one term between two fingerings. */
export interface TermChange {
  readonly name: TermName;
  /** True when the second fingering costs more in this term. */
  readonly more: boolean;
  /** In how many placings more (or fewer) the term occurs; 0 when only its size differs. */
  readonly count: number;
  /** ` at bar 7`, or nothing. */
  readonly at: string;
}

/** What the second fingering does otherwise, as the end of a sentence about it. */
export function changeWords(change: TermChange): string {
  const { name, more, count, at } = change;
  const comparative = more ? "more" : "less";
  const often = `${timesText(count)} ${comparative}`;
  switch (name) {
    case "base":
      return `needs ${counted(count, "placing")} ${more ? "more" : "fewer"}`;
    case "stretch":
      return `stretches ${comparative}${at}`;
    case "outer":
      return `${more ? "reaches wider" : "reaches less wide"}${at}`;
    case "cramped":
      return more ? `cramps thumb and 2${at}` : `does not cramp thumb and 2${at}`;
    case "thumb":
      return more ? `the thumb misses a top note${at}` : `the thumb takes the top note${at}`;
    case "weakFinger":
      return `uses 4 ${often}`;
    case "single":
      return `gives a lone note ${more ? "a less usual finger" : "its usual finger"}${at}`;
    case "level":
      return more
        ? `needs a finger that this player does not use yet${at}`
        : `keeps to the player's fingers${at}`;
    case "slide":
      return `slides ${often}`;
    case "waiting":
      return `waits ${more ? "longer" : "less"} with fingers on the strings${at}`;
    case "separate":
      return count > 0
        ? `comes off ${often}`
        : `comes off where there is ${more ? "less" : "more"} time${at}`;
    case "leap":
      return `jumps ${more ? "farther" : "less far"}${at}`;
    case "sameString":
      return count > 0
        ? `goes back to the same string ${often}`
        : `goes back to the same string with ${more ? "less" : "more"} ease${at}`;
    case "overlap":
      return `turns on a shared note ${often}`;
    case "cross":
      return count > 0 ? `crosses ${often}` : `crosses with ${more ? "a harder" : "an easier"} finger${at}`;
    case "skip":
      return more ? `crosses over a skipped string${at}` : `crosses between neighbouring strings${at}`;
    case "turn":
      return more ? `the thumb misses the turn${at}` : `the thumb takes the turn${at}`;
    case "glance":
      return more ? `both hands need the eyes at once${at}` : `one hand at a time needs the eyes${at}`;
    case "interlocked":
      return more ? `the hands work through each other${at}` : `the hands keep clear of each other${at}`;
    case "oneString":
      return more ? `both hands want the same string${at}` : `the hands do not meet on a string${at}`;
    case "tooWide":
      return more ? `is too wide for the hand${at}` : `stays within the hand${at}`;
    case "tooMany":
      return more ? `leaves a note without a finger${at}` : `has a finger for each note${at}`;
    case "tooFast":
      return more ? `leaves too little time${at}` : `leaves time enough${at}`;
    case "lock":
      return more ? `does not keep what is printed${at}` : `keeps what is printed${at}`;
  }
}
