import type { PanelEngraving } from "../../../shared/protocol/panel.ts";
import type { FromEngraver, ToEngraver } from "./engravingMessages.ts";

/** What is used of verovio's toolkit. Its two modules stand before this code in the worker's text. */
interface Toolkit {
  setOptions(options: Readonly<Record<string, unknown>>): void;
  loadData(data: string): number | boolean;
  getLog(): string;
  getPageCount(): number;
  getPageWithElement(id: string): number;
  renderToSVG(page: number): string;
}

declare function createVerovioModule(): Promise<unknown>;
declare const VerovioToolkit: new (module: unknown) => Toolkit;
declare function postMessage(message: FromEngraver): void;
declare function addEventListener(kind: "message", listener: (event: { data: ToEngraver }) => void): void;

/** The size of a staff at zoom 1, in percent of the engraver's own. */
const usualScale = 40;

const toolkit = createVerovioModule().then((module) => new VerovioToolkit(module));
let current = 0;
let fontSent = false;
let queue: Promise<void> = Promise.resolve();

addEventListener("message", ({ data }) => {
  queue = queue.then(async () => {
    const { generation } = data;
    try {
      const engraver = await toolkit;
      if (data.kind === "engrave") engrave(engraver, data);
      else draw(engraver, data);
    } catch (error) {
      const why = messageOf(error);
      if (data.kind === "engrave") postMessage({ kind: "engravingFailed", generation, why });
      else postMessage({ kind: "notDrawn", generation, system: data.system, why });
    }
  });
});

function engrave(engraver: Toolkit, wish: Extract<ToEngraver, { kind: "engrave" }>): void {
  const { generation, engraving, width, zoom } = wish;
  const start = performance.now();
  const scale = Math.max(1, Math.round(usualScale * zoom));
  engraver.setOptions({
    scale,
    pageWidth: Math.max(100, Math.round((width * 100) / scale)),
    pageHeight: 60_000,
    systemMaxPerPage: 1,
    adjustPageHeight: true,
    pageMarginTop: 30,
    pageMarginBottom: 30,
    pageMarginLeft: 40,
    pageMarginRight: 15,
    breaks: "auto",
    header: "none",
    footer: "none",
    justifyVertically: false,
    spacingSystem: 0,
    svgViewBox: true,
    svgFormatRaw: true,
    svgRemoveXlink: true,
    svgAdditionalAttribute: ["fing@startid"],
  });
  const loaded = engraver.loadData(musicXml(engraving));
  if (!loaded) throw new Error(`The score could not be engraved. ${engraver.getLog()}`.trim());
  current = generation;
  const engravingMs = performance.now() - start;
  postMessage({ kind: "engraved", generation, systems: systems(engraver, engraving), engravingMs });
}

function systems(engraver: Toolkit, { parts }: PanelEngraving): { first: number; last: number }[] {
  const found: { first: number; last: number }[] = Array.from({ length: engraver.getPageCount() }, () => ({
    first: Number.POSITIVE_INFINITY,
    last: -1,
  }));
  parts[0]?.forEach((_, index) => {
    const system = found[engraver.getPageWithElement(`measure-${index}`) - 1];
    if (!system) return;
    system.first = Math.min(system.first, index);
    system.last = Math.max(system.last, index);
  });
  return found;
}

function draw(engraver: Toolkit, { generation, system }: Extract<ToEngraver, { kind: "draw" }>): void {
  if (generation !== current) throw new Error("The score was laid out anew meanwhile.");
  // The page has its own style sheet, and its security policy none but that; what it lacks is the font of note signs.
  const whole = engraver.renderToSVG(system + 1);
  const font = fontSent ? undefined : /font-woff2;[^,]*base64,([A-Za-z0-9+/=]+)/.exec(whole)?.[1];
  if (font !== undefined) fontSent = true;
  const svg = whole.replace(/<style[\s\S]*?<\/style>/g, "");
  postMessage({ kind: "drawn", generation, system, svg, font });
}

/** Parts without names: the page has the score's name, and the systems all the width. */
function musicXml({ parts }: PanelEngraving): string {
  const list = parts.map((_, i) => `<score-part id="P${i}"><part-name/></score-part>`).join("");
  // Two parts are the two staves of one harp.
  const opening =
    '<part-group type="start" number="1"><group-symbol>brace</group-symbol><group-barline>yes</group-barline></part-group>';
  const grouped = parts.length > 1 ? `${opening}${list}<part-group type="stop" number="1"/>` : list;
  const music = parts.map((measures, i) => `<part id="P${i}">${measures.join("")}</part>`).join("");
  return `<?xml version="1.0" encoding="UTF-8"?><score-partwise version="4.0"><part-list>${grouped}</part-list>${music}</score-partwise>`;
}

function messageOf(error: unknown): string {
  return error instanceof Error ? error.message : String(error);
}
