import { dirname, join } from "node:path";
import { pathToFileURL } from "node:url";
import type { PanelEngraving } from "../../shared/service/panelEngraving.ts";

/** What is used of verovio's toolkit, which comes without types. */
interface Toolkit {
  setOptions(options: Readonly<Record<string, unknown>>): void;
  loadData(data: string): boolean;
  getLog(): string;
  getPageCount(): number;
  select(selection: Readonly<Record<string, string>>): boolean;
  redoLayout(options?: Readonly<Record<string, unknown>>): void;
  renderToSVG(page: number): string;
  destroy(): void;
}

/** Bars of a score, by their index; both ends included. */
export interface BarRange {
  readonly first: number;
  readonly last: number;
}

const common = {
  scale: 40,
  pageHeight: 60_000,
  adjustPageHeight: true,
  pageMarginTop: 30,
  pageMarginBottom: 30,
  pageMarginRight: 15,
  header: "none",
  footer: "none",
  spacingSystem: 0,
  svgViewBox: true,
  svgFormatRaw: true,
  svgRemoveXlink: true,
  svgAdditionalAttribute: ["fing@startid"],
};

/** The width of the music on A4 or Letter between usual margins, in the engraver's units. */
const pageWidth = 1800;

/** Engraves music as SVG. It is a large module and takes its time to start: made only where it is needed. */
export class Engraver {
  readonly #newToolkit: () => Toolkit;

  private constructor(newToolkit: () => Toolkit) {
    this.#newToolkit = newToolkit;
  }

  /** @param program the running bundle, beside which the engraver's two modules lie. */
  static async start(program: string): Promise<Engraver> {
    const beside = (name: string): Promise<Record<string, unknown>> =>
      import(pathToFileURL(join(dirname(program), name)).href);
    const { default: createModule } = (await beside("verovio-module.mjs")) as {
      default: () => Promise<unknown>;
    };
    const { VerovioToolkit, enableLogToBuffer } = (await beside("verovio.mjs")) as {
      VerovioToolkit: new (module: unknown) => Toolkit;
      enableLogToBuffer(value: boolean, module: unknown): void;
    };
    const module = await createModule();
    // What the engraver thinks of a score is no matter of ours, unless it gives up.
    enableLogToBuffer(true, module);
    return new Engraver(() => new VerovioToolkit(module));
  }

  /**
   * A whole score, system by system.
   * @throws Error when it cannot be engraved.
   */
  systems(engraving: PanelEngraving): string[] {
    const options = { pageWidth, systemMaxPerPage: 1, breaks: "auto" };
    return this.#engraved(engraving, options, (toolkit) =>
      Array.from({ length: toolkit.getPageCount() }, (_, i) => toolkit.renderToSVG(i + 1)),
    );
  }

  /**
   * Some bars of a score, each range in one line with the clefs and keys that hold there.
   * @returns pictures in the order of the ranges.
   */
  excerpts(engraving: PanelEngraving, ranges: readonly BarRange[]): string[] {
    const options = { pageWidth: 60_000, breaks: "none", adjustPageWidth: true };
    return this.#engraved(engraving, options, (toolkit) =>
      ranges.map(({ first, last }) => {
        toolkit.select({ measureRange: `${first + 1}-${last + 1}` });
        toolkit.redoLayout({});
        return toolkit.renderToSVG(1);
      }),
    );
  }

  /** A toolkit of its own for each score, since what was chosen in one stays in force, and its memory given back. */
  #engraved<T>(
    engraving: PanelEngraving,
    options: Readonly<Record<string, unknown>>,
    draw: (toolkit: Toolkit) => T,
  ): T {
    const toolkit = this.#newToolkit();
    try {
      toolkit.setOptions({ ...common, ...options });
      if (!toolkit.loadData(musicXml(engraving))) {
        throw new Error(`The score could not be engraved. ${toolkit.getLog()}`.trim());
      }
      return draw(toolkit);
    } finally {
      toolkit.destroy();
    }
  }
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
