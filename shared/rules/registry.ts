import { alterationNotAvailable } from "./alterationNotAvailable.ts";
import { bothHandsLook } from "./bothHandsLook.ts";
import { bothHandsOnOneString } from "./bothHandsOnOneString.ts";
import { bracketOnOtherSide } from "./bracketOnOtherSide.ts";
import { bracketOverMoreThanFour } from "./bracketOverMoreThanFour.ts";
import { bracketOverRest } from "./bracketOverRest.ts";
import { bracketOverTurn } from "./bracketOverTurn.ts";
import { buzzRisk } from "./buzzRisk.ts";
import { changeNotMarked } from "./changeNotMarked.ts";
import { comesOffWithoutTime } from "./comesOffWithoutTime.ts";
import { connectedOverLongNote } from "./connectedOverLongNote.ts";
import { crossingOverSkip } from "./crossingOverSkip.ts";
import { crossingWithFourthFinger } from "./crossingWithFourthFinger.ts";
import type { Rule } from "./define.ts";
import { duplicateId } from "./duplicateId.ts";
import { elementOutOfOrder } from "./elementOutOfOrder.ts";
import { fastRepeatByOneFinger } from "./fastRepeatByOneFinger.ts";
import { figureUsuallyOtherwise } from "./figureUsuallyOtherwise.ts";
import { fingerAboveLevel } from "./fingerAboveLevel.ts";
import { fingeringCostsMore } from "./fingeringCostsMore.ts";
import { fingerOnUnpluckedNote } from "./fingerOnUnpluckedNote.ts";
import { fingerOutsideRange } from "./fingerOutsideRange.ts";
import { fingersAgainstStrings } from "./fingersAgainstStrings.ts";
import { fingersInText } from "./fingersInText.ts";
import { handMarkUnclear } from "./handMarkUnclear.ts";
import { harmonicOctaveUnclear } from "./harmonicOctaveUnclear.ts";
import { interlockedHands } from "./interlockedHands.ts";
import { leapWithoutTime } from "./leapWithoutTime.ts";
import { leverMarkAgainstNotes } from "./leverMarkAgainstNotes.ts";
import { leverMovedWhileRinging } from "./leverMovedWhileRinging.ts";
import { manyHardJoints } from "./manyHardJoints.ts";
import { missingFinger } from "./missingFinger.ts";
import { moreCrossingsThanNeeded } from "./moreCrossingsThanNeeded.ts";
import { moreThanFourAtOnce } from "./moreThanFourAtOnce.ts";
import { noTimeForLever } from "./noTimeForLever.ts";
import { noteMuffledEarly } from "./noteMuffledEarly.ts";
import { notesTakenOneByOne } from "./notesTakenOneByOne.ts";
import { overlappingBracketsClash } from "./overlappingBracketsClash.ts";
import { passageBracketedOtherwise } from "./passageBracketedOtherwise.ts";
import { passageFingeredOnce } from "./passageFingeredOnce.ts";
import { passageFingeredOtherwise } from "./passageFingeredOtherwise.ts";
import { pedalInTwoPlaces } from "./pedalInTwoPlaces.ts";
import { pedalMarkAgainstNotes } from "./pedalMarkAgainstNotes.ts";
import { pedalsTooClose } from "./pedalsTooClose.ts";
import { reachBeyondHand } from "./reachBeyondHand.ts";
import { sameFingerTooSoon } from "./sameFingerTooSoon.ts";
import { sameFingerTwiceInChord } from "./sameFingerTwiceInChord.ts";
import { shiftedFigureFingeredOtherwise } from "./shiftedFigureFingeredOtherwise.ts";
import { spellingMovesString } from "./spellingMovesString.ts";
import { stringNotOnHarp } from "./stringNotOnHarp.ts";
import { tempoNotStated } from "./tempoNotStated.ts";
import { thumbNotOnTop } from "./thumbNotOnTop.ts";
import { turnWithoutBracket } from "./turnWithoutBracket.ts";
import { turnWithoutThumb } from "./turnWithoutThumb.ts";
import { unmatchedBracketEnd } from "./unmatchedBracketEnd.ts";
import { unusualIntervalFingers } from "./unusualIntervalFingers.ts";

/** Every rule, in the order in which they are listed to people: fingers, chords, turns, brackets, gaps, passages. */
export const rules: readonly Rule[] = [
  fingerOutsideRange,
  fingerOnUnpluckedNote,
  sameFingerTwiceInChord,
  fingersAgainstStrings,
  moreThanFourAtOnce,
  reachBeyondHand,
  bothHandsOnOneString,
  interlockedHands,
  bothHandsLook,
  leapWithoutTime,
  handMarkUnclear,
  noteMuffledEarly,
  buzzRisk,
  fingerAboveLevel,
  manyHardJoints,
  unusualIntervalFingers,
  thumbNotOnTop,
  turnWithoutThumb,
  sameFingerTooSoon,
  fastRepeatByOneFinger,
  notesTakenOneByOne,
  comesOffWithoutTime,
  turnWithoutBracket,
  crossingOverSkip,
  moreCrossingsThanNeeded,
  crossingWithFourthFinger,
  bracketOverTurn,
  bracketOverMoreThanFour,
  overlappingBracketsClash,
  bracketOverRest,
  connectedOverLongNote,
  unmatchedBracketEnd,
  bracketOnOtherSide,
  missingFinger,
  passageFingeredOtherwise,
  passageBracketedOtherwise,
  shiftedFigureFingeredOtherwise,
  passageFingeredOnce,
  stringNotOnHarp,
  alterationNotAvailable,
  spellingMovesString,
  noTimeForLever,
  leverMovedWhileRinging,
  pedalInTwoPlaces,
  pedalsTooClose,
  pedalMarkAgainstNotes,
  leverMarkAgainstNotes,
  changeNotMarked,
  duplicateId,
  elementOutOfOrder,
  fingersInText,
  fingeringCostsMore,
  figureUsuallyOtherwise,
  harmonicOctaveUnclear,
  tempoNotStated,
];
