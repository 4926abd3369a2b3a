import { Dice } from "./randomLines.ts";

/**
 * A score for a harp of about this many characters, laid out as notation programs lay it out: two staves, chords,
 * lyrics never, fingers and brackets here and there. The same length gives the same score.
 */
export function generatedScore(length: number): string {
  const dice = new Dice(length);
  const pieces = [head];
  let size = head.length;
  for (let measure = 1; size < length; measure += 1) {
    const piece = measureXml(measure, dice);
    pieces.push(piece);
    size += piece.length;
  }
  pieces.push("  </part>\n</score-partwise>\n");
  return pieces.join("");
}

const head = `<?xml version="1.0" encoding="UTF-8"?>
<!DOCTYPE score-partwise PUBLIC "-//Recordare//DTD MusicXML 4.0 Partwise//EN" "http://www.musicxml.org/dtds/partwise.dtd">
<score-partwise version="4.0">
  <part-list>
    <score-part id="P1">
      <part-name>Harp</part-name>
      <score-instrument id="P1-I1"><instrument-name>Harp</instrument-name><instrument-sound>pluck.harp</instrument-sound></score-instrument>
    </score-part>
  </part-list>
  <part id="P1">
`;

function measureXml(number: number, dice: Dice): string {
  const start =
    number === 1
      ? `      <attributes>
        <divisions>480</divisions>
        <key>
          <fifths>0</fifths>
          </key>
        <time>
          <beats>4</beats>
          <beat-type>4</beat-type>
          </time>
        <staves>2</staves>
        <clef number="1">
          <sign>G</sign>
          <line>2</line>
          </clef>
        <clef number="2">
          <sign>F</sign>
          <line>4</line>
          </clef>
        </attributes>
`
      : "";
  const right = Array.from({ length: 8 }, (_, i) => noteXml(dice, 1, 30 + dice.whole(0, 12), i)).join("");
  const left = Array.from({ length: 8 }, (_, i) => noteXml(dice, 2, 16 + dice.whole(0, 10), i)).join("");
  return `    <measure number="${number}" width="${200 + dice.whole(0, 99)}.25">
${start}${right}      <backup>
        <duration>1920</duration>
        </backup>
${left}      </measure>
`;
}

function noteXml(dice: Dice, staff: 1 | 2, string: number, place: number): string {
  const placement = staff === 1 ? "above" : "below";
  const hook = staff === 1 ? "down" : "up";
  const bracket = (type: "start" | "stop"): string => `      <direction placement="${placement}">
        <direction-type>
          <bracket type="${type}" number="${2 * staff - 1}" line-end="${hook}"/>
          </direction-type>
        <voice>${4 * staff - 3}</voice>
        <staff>${staff}</staff>
        </direction>
`;
  const fingering = dice.chance(0.5)
    ? `        <notations>
          <technical>
            <fingering placement="${placement}">${4 - (place % 4)}</fingering>
            </technical>
          </notations>
`
    : "";
  const one = (
    pitch: number,
    chord: boolean,
  ): string => `      <note default-x="${80 + 30 * place}.54" default-y="-${dice.whole(10, 60)}.00">
${chord ? "        <chord/>\n" : ""}        <pitch>
          <step>${"CDEFGAB"[pitch % 7]}</step>
${dice.chance(0.1) ? "          <alter>1</alter>\n" : ""}          <octave>${Math.floor(pitch / 7)}</octave>
          </pitch>
        <duration>240</duration>
        <voice>${4 * staff - 3}</voice>
        <type>eighth</type>
        <stem>${staff === 1 ? "up" : "down"}</stem>
        <staff>${staff}</staff>
        <beam number="1">${place % 4 === 0 ? "begin" : place % 4 === 3 ? "end" : "continue"}</beam>
${fingering}        </note>
`;
  return [
    place % 4 === 0 ? bracket("start") : "",
    one(string, false),
    dice.chance(0.2) ? one(string + 2, true) : "",
    place % 4 === 3 ? bracket("stop") : "",
  ].join("");
}
