import { analyse } from "../../shared/service/analyse.ts";
import { applyEdits, type Edit, inOrder } from "../../shared/text/edits.ts";
import type { Dice } from "./randomLines.ts";

/** What was done to a score, to be found again. */
export interface Done {
  /** `right F#5 4>3`, one for each finger. */
  readonly fingers: string[];
  /** `right G4 to C5 > G4 to B4`, one for each bracket that now ends earlier; `> none` for one that was taken out. */
  readonly brackets: string[];
  /** `right E4>A4`, one for each note of another pitch. */
  readonly notes: string[];
  /** How many bars were put in and taken out. */
  inserted: number;
  removed: number;
}

/**
 * Another edition of a score of one part: some fingers and brackets are changed, some notes have another pitch, and some
 * bars are new or gone. The same dice give the same edition. Nothing that is done touches what else is done.
 */
export function editedEdition(text: string, dice: Dice): { readonly text: string; readonly done: Done } {
  const done: Done = { fingers: [], brackets: [], notes: [], inserted: 0, removed: 0 };
  const { hands, harp } = analyse(text);
  const measures = harp!.parts[0]!.measures;
  const edits: Edit[] = [];
  const taken = new Set<number>();
  /** A bar is used for one thing only. */
  const take = (measure: number): boolean => {
    if (taken.has(measure)) return false;
    taken.add(measure);
    return true;
  };
  for (const { index, span } of measures) {
    const xml = text.slice(span.start, span.end);
    const stands = !/<attributes|<barline|<tied?\b|<bracket|<slur|<wedge/.test(xml) && /<pitch>/.test(xml);
    if (!stands || index === 0 || index + 1 === measures.length || !dice.chance(0.2)) continue;
    if (![index - 1, index, index + 1].every((measure) => !taken.has(measure))) continue;
    for (const measure of [index - 1, index, index + 1]) take(measure);
    if (dice.chance(0.5)) {
      edits.push({ span, text: "" });
      done.removed += 1;
    } else {
      // Music that is nowhere else: the same, an octave and a string away.
      const other = xml
        .replace(/<fingering[^>]*>[^<]*<\/fingering>/g, "")
        .replace(
          /<step>(.)<\/step>/g,
          (_, step: string) => `<step>${"CDEFGAB"["CDEFGAB".indexOf(step) - 1] ?? "B"}</step>`,
        )
        .replace(
          /<octave>(\d)<\/octave>/g,
          (_, octave: string) => `<octave>${(Number(octave) % 7) + 1}</octave>`,
        );
      edits.push({ span: { start: span.end, end: span.end }, text: other });
      done.inserted += 1;
    }
  }
  for (const { hand, line, brackets } of hands) {
    for (const { first, last, start, stop } of brackets.brackets) {
      const own = line.events.slice(first, last + 1).map(({ notes }) => notes[0]!.note.measure.index);
      const names = (event: number): string =>
        line.events[event]!.notes.map(({ note }) => pitchOf(note.pitch)).join("+");
      if (!dice.chance(0.3) || last - first < 2 || !own.every((measure) => !taken.has(measure))) continue;
      if (![start, stop].every(({ removable }) => removable) || new Set(own).size > 1) continue;
      for (const measure of own) take(measure);
      const old = `${hand} ${names(first)} to ${names(last)}`;
      if (dice.chance(0.5)) {
        for (const end of [start, stop]) edits.push({ span: end.removal, text: "" });
        done.brackets.push(`${old} > none`);
      } else {
        const before = Math.min(
          ...line.events[last]!.notes.flatMap(({ note, doubles }) =>
            [note, ...doubles].map(({ site }) => site.span.start),
          ),
        );
        edits.push({ span: stop.removal, text: "" });
        edits.push({
          span: { start: before, end: before },
          text: text.slice(stop.removal.start, stop.removal.end),
        });
        done.brackets.push(`${old} > ${hand} ${names(first)} to ${names(last - 1)}`);
      }
    }
    for (const { notes } of line.events) {
      for (const { note } of notes) {
        const [fingering, more] = note.fingerings;
        if (taken.has(note.measure.index) || !dice.chance(0.1)) continue;
        if (fingering?.number !== undefined && !more) {
          const digit = String((fingering.number % 4) + 1);
          edits.push({ span: fingering.content, text: digit });
          done.fingers.push(`${hand} ${pitchOf(note.pitch)} ${fingering.text}>${digit}`);
        } else if (!fingering && notes.length === 1 && take(note.measure.index)) {
          const xml = text.slice(note.site.span.start, note.site.span.end);
          if (/<tied?\b/.test(xml)) continue;
          const octave = note.pitch.octave === 4 ? 5 : 4;
          const changed = xml.replace(/<octave>\d<\/octave>/, `<octave>${octave}</octave>`);
          edits.push({ span: note.site.span, text: changed });
          done.notes.push(`${hand} ${pitchOf(note.pitch)}>${pitchOf({ ...note.pitch, octave })}`);
        }
      }
    }
  }
  return { text: applyEdits(text, inOrder(edits)), done };
}

function pitchOf({ letter, alter, octave }: { letter: string; alter: number; octave: number }): string {
  return `${letter}${alter > 0 ? "#" : alter < 0 ? "b" : ""}${octave}`;
}
