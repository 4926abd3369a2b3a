import type { Dice } from "./randomLines.ts";

/** What breaks a score in an interesting way when it stands in the wrong place. */
const tokens = [
  "<",
  ">",
  "&",
  "'",
  '"',
  "</",
  "/>",
  "<!--",
  "-->",
  "<![CDATA[",
  "]]>",
  "<?",
  "?>",
  "&lt;",
  "&#0;",
  "&#x10FFFF;",
  "&x;",
  "<!DOCTYPE a [<!ENTITY b 'c'>]>",
  "<note>",
  "</note>",
  "<note/>",
  "<measure>",
  "</measure>",
  "<part>",
  "</part>",
  "<chord/>",
  "<grace/>",
  "<backup><duration>99999999999</duration></backup>",
  "<duration>-1</duration>",
  "<duration>1e9</duration>",
  "<divisions>0</divisions>",
  "<divisions>7</divisions>",
  "<staff>99</staff>",
  "<staff/>",
  "<voice/>",
  "<tie type='stop'/>",
  "<notations/>",
  "<technical/>",
  "<fingering/>",
  "<fingering>12345</fingering>",
  '<repeat direction="forward"/>',
  '<repeat direction="backward" times="9999"/>',
  '<direction><direction-type><bracket type="stop" number="1" line-end="up"/></direction-type></direction>',
  "<direction><direction-type><words>l.h.</words></direction-type></direction>",
  "<sound dacapo='yes'/>",
  "\0",
  "\ufeff",
  "\ud800",
  "\uffff",
  "𝄞",
  "\r",
  "\u2028",
  " ".repeat(200),
];

/** A broken copy of a score file. Equal dice give equal copies. */
export function mutated(original: Uint8Array, dice: Dice): Uint8Array {
  let bytes: Buffer = Buffer.from(original);
  const times = dice.whole(1, 4);
  for (let i = 0; i < times; i += 1) bytes = mutatedOnce(bytes, dice);
  return new Uint8Array(bytes);
}

function mutatedOnce(bytes: Buffer, dice: Dice): Buffer {
  const place = (): number => dice.whole(0, bytes.length);
  const stretch = (most: number): [number, number] => {
    const from = place();
    return [from, Math.min(bytes.length, from + dice.whole(0, most))];
  };
  switch (dice.whole(0, 11)) {
    case 0:
      return bytes.subarray(0, place());
    case 1: {
      const [from, to] = stretch(2000);
      return Buffer.concat([bytes.subarray(0, from), bytes.subarray(to)]);
    }
    case 2: {
      const [from, to] = stretch(2000);
      return Buffer.concat([bytes.subarray(0, to), bytes.subarray(from)]);
    }
    case 3: {
      const copy = Buffer.from(bytes);
      for (let i = 0; i < 8 && copy.length > 0; i += 1) {
        const [a, b] = [dice.whole(0, copy.length - 1), dice.whole(0, copy.length - 1)];
        [copy[a], copy[b]] = [copy[b]!, copy[a]!];
      }
      return copy;
    }
    case 4: {
      const copy = Buffer.from(bytes);
      for (let i = 0; i < 4 && copy.length > 0; i += 1)
        copy[dice.whole(0, copy.length - 1)] = dice.whole(0, 255);
      return copy;
    }
    case 5:
    case 6: {
      const at = place();
      return Buffer.concat([bytes.subarray(0, at), Buffer.from(dice.oneOf(tokens)), bytes.subarray(at)]);
    }
    case 7:
      return Buffer.from(
        bytes.toString("latin1").replace(/\r\n|\n|\r/g, () => dice.oneOf(["\n", "\r\n", "\r"])),
        "latin1",
      );
    case 8: {
      // Two pieces of markup change places: nesting breaks.
      const text = bytes.toString("latin1");
      const tags = [...text.matchAll(/<[^>]*>/g)];
      if (tags.length < 2) return bytes;
      const [a, b] = [dice.whole(0, tags.length - 1), dice.whole(0, tags.length - 1)].sort((x, y) => x - y);
      const [first, second] = [tags[a!]!, tags[b!]!];
      if (a === b) return bytes;
      return Buffer.from(
        text.slice(0, first.index) +
          second[0] +
          text.slice(first.index + first[0].length, second.index) +
          first[0] +
          text.slice(second.index + second[0].length),
        "latin1",
      );
    }
    case 9: {
      // A number becomes another.
      const text = bytes.toString("latin1");
      const numbers = [...text.matchAll(/>(\d+)</g)];
      if (numbers.length === 0) return bytes;
      const { index, 1: old } = numbers[dice.whole(0, numbers.length - 1)]!;
      const other = dice.oneOf(["0", "1", "-3", "7", "1000000", "0.3333333", "9".repeat(30), "", "x", "NaN"]);
      return Buffer.from(text.slice(0, index + 1) + other + text.slice(index + 1 + old!.length), "latin1");
    }
    case 10:
      return inAnotherEncoding(bytes, dice);
    default: {
      // A declaration that lies.
      const encoding = dice.oneOf(["UTF-8", "UTF-16", "ISO-8859-1", "windows-1251", "Shift_JIS", "nonsense"]);
      return Buffer.from(
        bytes.toString("latin1").replace(/encoding=["'][^"']*["']/, `encoding="${encoding}"`),
        "latin1",
      );
    }
  }
}

function inAnotherEncoding(bytes: Buffer, dice: Dice): Buffer {
  const text = bytes.toString("utf8");
  switch (dice.whole(0, 3)) {
    case 0:
      return Buffer.from(`\ufeff${text}`, "utf16le");
    case 1:
      return Buffer.from(`\ufeff${text}`, "utf16le").swap16();
    case 2:
      return Buffer.from(text, "latin1");
    default:
      return Buffer.from(`\ufeff${text}`, "utf8");
  }
}
