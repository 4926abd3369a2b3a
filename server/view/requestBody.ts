import type { IncomingMessage, ServerResponse } from "node:http";
import type { Limits } from "./limits.ts";
import { Refusal } from "./refusal.ts";

/** After how many seconds whoever found too much in hand may ask again. */
const retrySeconds = "2";

/** A body as received. It has its room until `release` is called, once. */
export interface HeldBody {
  readonly bytes: Buffer;
  release(): void;
}

/** Room for the bodies of all requests together: those that are being received, and those that are worked on. */
export class Room {
  readonly #limits: Pick<Limits, "heldBytes" | "inHand">;
  #bytes = 0;
  #inHand = 0;

  constructor(limits: Pick<Limits, "heldBytes" | "inHand">) {
    this.#limits = limits;
  }

  /**
   * Receives the body of a request. What is too long is not read on.
   * @param most in bytes.
   * @throws Refusal when the body is too long, or there is no room for it.
   */
  async read(request: IncomingMessage, response: ServerResponse, most: number): Promise<HeldBody> {
    if (Number(request.headers["content-length"] ?? 0) > most) throw tooLong(most);
    if (this.#inHand >= this.#limits.inHand) throw tooMuch();
    let size = 0;
    this.#inHand += 1;
    const release = (): void => {
      this.#inHand -= 1;
      this.#bytes -= size;
    };
    const take = (amount: number): void => {
      if (size + amount > most) throw tooLong(most);
      if (this.#bytes + amount > this.#limits.heldBytes) throw tooMuch();
      size += amount;
      this.#bytes += amount;
    };
    if (request.headers.expect !== undefined) response.writeContinue();
    try {
      return { bytes: await received(request, take), release };
    } catch (error) {
      release();
      throw error;
    }
  }
}

/** @param take throws when a chunk of so many bytes is too much; what follows it is not read. */
function received(request: IncomingMessage, take: (amount: number) => void): Promise<Buffer> {
  return new Promise((resolve, reject) => {
    const chunks: Buffer[] = [];
    request.on("data", (chunk: Buffer) => {
      try {
        take(chunk.length);
        chunks.push(chunk);
      } catch (error) {
        request.removeAllListeners("data").pause();
        reject(error);
      }
    });
    request.on("end", () => resolve(Buffer.concat(chunks)));
    request.on("error", reject);
    request.on("close", () => reject(new Error("the request broke off")));
  });
}

function tooLong(most: number): Refusal {
  const words = most >= 1e6 ? `${most / 1e6} MB` : `${most} bytes`;
  return new Refusal(413, `This is too long: at most ${words} are taken.`);
}

function tooMuch(): Refusal {
  return new Refusal(503, "Too much is being asked at once. Ask again in a few seconds.", {
    "retry-after": retrySeconds,
  });
}
