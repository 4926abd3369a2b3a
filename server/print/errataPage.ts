import type { EditionComparison } from "../../shared/editions/model.ts";
import type { Analysis } from "../../shared/service/analyse.ts";
import { stopOnPain } from "../../shared/service/cautions.ts";
import { isFingeringChange, renumberedWords, toldChanges } from "../../shared/service/editionWords.ts";
import { errata } from "../../shared/service/errata.ts";
import { type PrintedMusic, printedMusic } from "../../shared/service/printedMusic.ts";
import type { BarRange, Engraver } from "./engraver.ts";
import { engravedCss, markedPicture, musicFont } from "./markedPicture.ts";
import { html, page } from "./page.ts";

const slipCss = `
.entry { break-inside: avoid; border-top: 1px solid #111; padding: .5em 0 .6em; }
.entry ul { margin: 0 0 .4em; padding-left: 1.2em; }
.pair { display: flex; flex-wrap: wrap; gap: 12px 28px; align-items: flex-start; }
figure { margin: 0; max-width: 100%; }
figcaption { font-size: .85em; color: #555; }
figure svg { max-width: 100%; height: auto; }
`;

/** An edition as it was read. */
export interface SlipScore {
  readonly name: string;
  readonly analysis: Analysis;
}

/**
 * A slip to print for those who have the old edition: bar by bar what was changed in the fingering, engraved before and
 * after, and apart what was changed in the notes.
 */
export function errataPage(
  old: SlipScore,
  now: SlipScore,
  comparison: EditionComparison,
  engraver: Engraver,
): string {
  const [before, after] = [printedMusic(old.analysis), printedMusic(now.analysis)];
  const entries = errata(
    comparison,
    { hands: old.analysis.hands, ids: before.ids },
    { hands: now.analysis.hands, ids: after.ids },
  );
  const oldBars = entries.flatMap((entry) => (entry.old ? [entry.old] : []));
  const oldPictures = pictures(engraver, before, oldBars);
  const newPictures = pictures(
    engraver,
    after,
    entries.map((entry) => entry.new),
  );
  let nextOld = 0;
  const shown = entries.map((entry, i) => {
    const figures = [
      ...(entry.old ? [figure("before", oldPictures[nextOld]!, before, entry.oldNotes)] : []),
      figure("now", newPictures[i]!, after, entry.newNotes),
    ];
    if (entry.old) nextOld += 1;
    const lines = entry.changes.map(({ where, what }) => `<li>${html(where)}: <b>${html(what)}</b></li>`);
    return `<section class="entry"><h3>${html(capital(entry.title))}</h3><ul>${lines.join("")}</ul><div class="pair">${figures.join("")}</div></section>`;
  });
  const told = toldChanges(comparison).filter(({ change }) => !isFingeringChange(change));
  const notes = told.map(({ where, what }) => `<li>${html(where)}: ${html(what)}</li>`);
  const numbers = renumberedWords(comparison).map((words) => `<li>${html(words)}</li>`);
  const title = now.analysis.score.title.trim() || old.analysis.score.title.trim() || now.name;
  const fonts = new Set([...oldPictures, ...newPictures].flatMap((picture) => musicFont(picture) ?? []));
  const body = [
    `<h1>${html(title)}</h1>`,
    `<p>Errata: what is printed otherwise in ${html(now.name)} than in ${html(old.name)}. Bars are numbered as in the new edition.</p>`,
    "<h2>Fingering</h2>",
    ...(shown.length > 0 ? shown : ["<p>Nothing changed.</p>"]),
    ...(notes.length > 0 ? [`<h2>Notes</h2><ul>${notes.join("")}</ul>`] : []),
    ...(numbers.length > 0 ? [`<h2>Bar numbers</h2><ul>${numbers.join("")}</ul>`] : []),
    `<p class="caution">Fingering is advice for a hand, not a measure of one. ${html(stopOnPain)}</p>`,
  ].join("\n");
  return page(`${title}: errata`, `${engravedCss}${slipCss}${[...fonts].join("")}`, body);
}

/** Equal ranges are engraved once. */
function pictures(engraver: Engraver, { engraving }: PrintedMusic, ranges: readonly BarRange[]): string[] {
  const keyOf = ({ first, last }: BarRange): string => `${first} ${last}`;
  const different = [...new Map(ranges.map((range) => [keyOf(range), range])).values()];
  if (different.length === 0) return [];
  const made = engraver.excerpts(engraving, different);
  const known = new Map(different.map((range, i) => [keyOf(range), made[i]!]));
  return ranges.map((range) => known.get(keyOf(range))!);
}

function figure(
  caption: string,
  picture: string,
  { brackets }: PrintedMusic,
  tinted: readonly string[],
): string {
  const { svg, widthPx } = markedPicture(picture, { brackets, marks: [], tinted });
  return `<figure style="width:${Math.ceil(widthPx * excerptScale)}px"><figcaption>${caption}</figcaption>${svg}</figure>`;
}

/** The engraver's pictures are for the screen; on paper they are this much smaller. */
const excerptScale = 0.85;

function capital(text: string): string {
  return `${text.slice(0, 1).toUpperCase()}${text.slice(1)}`;
}
