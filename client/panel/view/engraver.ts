import type { PanelEngraving, PanelPageSettings } from "../../../shared/protocol/panel.ts";
import type { FromEngraver, ToEngraver } from "./engravingMessages.ts";

/** A score laid out in systems. Each is drawn when asked for. */
export interface Engraved {
  /** Indices of the first and last measure of each system. */
  readonly systems: readonly { readonly first: number; readonly last: number }[];
  /** The layout that these systems belong to. */
  readonly generation: number;
  /** Milliseconds that the engraving took. */
  readonly engravingMs: number;
}

export interface EngravingWish {
  readonly engraving: PanelEngraving;
  /** CSS pixels. */
  readonly width: number;
  /** 1 is the usual size: a staff 29 pixels high. */
  readonly zoom: number;
}

interface Asked {
  readonly wish: EngravingWish;
  readonly done: (engraved: Engraved) => void;
  readonly failed: (error: Error) => void;
}

interface Drawing {
  readonly resolve: (svg: string) => void;
  readonly reject: (error: Error) => void;
}

/**
 * Engraves in a worker of its own, so that neither the page nor the editor ever waits for it. The engraver's module
 * is loaded as it is published and put together with the worker's code only there.
 */
export class Engraver {
  readonly #worker: Promise<Worker>;
  readonly #drawing = new Map<string, Drawing>();
  #font: Promise<void> | undefined;
  #generation = 0;
  #wish: Asked | undefined;
  #busy: Asked | undefined;

  constructor(parts: PanelPageSettings["engraver"]) {
    this.#worker = this.#start(parts);
    // Whoever asks for an engraving is told.
    this.#worker.catch(() => undefined);
  }

  /** Lays a score out. While one layout is being made, only the latest of the wishes that come in is carried out. */
  engrave(wish: EngravingWish): Promise<Engraved> {
    return new Promise((done, failed) => {
      this.#wish = { wish, done, failed };
      void this.#next();
    });
  }

  /** The SVG of one system; rejects when that layout is gone. */
  async draw(generation: number, system: number): Promise<string> {
    const worker = await this.#worker;
    return new Promise((resolve, reject) => {
      this.#drawing.set(`${generation} ${system}`, { resolve, reject });
      worker.postMessage({ kind: "draw", generation, system } satisfies ToEngraver);
    });
  }

  /** Ends the worker. */
  close(): void {
    void this.#worker.then((worker) => worker.terminate());
  }

  async #start(parts: PanelPageSettings["engraver"]): Promise<Worker> {
    const texts = await Promise.all(
      [parts.module, parts.toolkit, parts.worker].map(async (address) => {
        const answer = await fetch(address).catch((error) => {
          throw new Error(`The engraver could not be loaded: ${address} (${String(error)}).`);
        });
        if (!answer.ok) throw new Error(`The engraver could not be loaded: ${address} (${answer.status}).`);
        return answer.text();
      }),
    );
    const address = URL.createObjectURL(new Blob([texts.join("\n")], { type: "text/javascript" }));
    const worker = new Worker(address, { type: "module" });
    worker.addEventListener("message", (event: MessageEvent<FromEngraver>) => this.#hear(event.data));
    worker.addEventListener("error", (event) => {
      this.#busy?.failed(new Error(`The engraver stopped: ${event.message || "it could not be started"}.`));
      this.#busy = undefined;
    });
    return worker;
  }

  async #next(): Promise<void> {
    if (this.#busy || !this.#wish) return;
    this.#busy = this.#wish;
    this.#wish = undefined;
    const { wish, failed } = this.#busy;
    let worker: Worker;
    try {
      worker = await this.#worker;
    } catch (error) {
      this.#busy = undefined;
      failed(error instanceof Error ? error : new Error(String(error)));
      return;
    }
    this.#generation += 1;
    const { engraving, width, zoom } = wish;
    worker.postMessage({
      kind: "engrave",
      generation: this.#generation,
      engraving,
      width,
      zoom,
    } satisfies ToEngraver);
  }

  #hear(message: FromEngraver): void {
    switch (message.kind) {
      case "engraved":
        this.#busy?.done(message);
        this.#busy = undefined;
        void this.#next();
        break;
      case "engravingFailed":
        this.#busy?.failed(new Error(message.why));
        this.#busy = undefined;
        void this.#next();
        break;
      case "drawn":
        this.#font ??= message.font === undefined ? undefined : loadFont(message.font);
        void Promise.resolve(this.#font).then(() => {
          this.#drawn(message.generation, message.system)?.resolve(message.svg);
        });
        break;
      case "notDrawn":
        this.#drawn(message.generation, message.system)?.reject(new Error(message.why));
        break;
    }
  }

  #drawn(generation: number, system: number): Drawing | undefined {
    const key = `${generation} ${system}`;
    const asked = this.#drawing.get(key);
    this.#drawing.delete(key);
    return asked;
  }
}

/** The name that the engraver's pictures use for it. */
const fontName = "Leipzig";

async function loadFont(base64: string): Promise<void> {
  const bytes = Uint8Array.from(atob(base64), (character) => character.charCodeAt(0));
  const font = new FontFace(fontName, bytes);
  document.fonts.add(await font.load());
}
