import { expect, test } from "vitest";
import { inOrder } from "../../server/cli/checking/inOrder.ts";
import { Dice } from "../support/randomLines.ts";

/** Work that ends when it is told to; what was begun, and what was given, in order. */
class Workshop {
  readonly begun: number[] = [];
  readonly given: number[] = [];
  readonly #ends = new Map<number, () => void>();
  readonly #all: Promise<void>;

  constructor(sizes: readonly number[], atATime: number, mostHeld: number) {
    const work = (i: number): Promise<number> => {
      this.begun.push(i);
      return new Promise((resolve) => this.#ends.set(i, () => resolve(i)));
    };
    this.#all = (async () => {
      for await (const i of inOrder(sizes, atATime, mostHeld, work)) this.given.push(i);
    })();
  }

  get running(): number[] {
    return [...this.#ends.keys()];
  }

  async end(i: number): Promise<void> {
    this.#ends.get(i)!();
    this.#ends.delete(i);
    await new Promise(setImmediate);
  }

  async whole(): Promise<void> {
    await this.#all;
  }
}

test("one large piece holds up no other", async () => {
  const sizes = [100, ...Array.from({ length: 40 }, () => 1)];
  const shop = new Workshop(sizes, 2, 1_000);
  for (let i = 1; i <= 40; i += 1) await shop.end(i);
  expect(shop.begun).toHaveLength(41);
  expect(shop.given).toEqual([]);
  await shop.end(0);
  await shop.whole();
  expect(shop.given).toEqual(sizes.map((_, i) => i));
});

test("a large piece at the end of the list is begun first, and all is given in order", async () => {
  const sizes = [...Array.from({ length: 40 }, () => 1), 50, 100];
  const shop = new Workshop(sizes, 2, 1_000);
  expect(shop.begun).toEqual([41, 40]);
  await shop.end(40);
  await shop.end(0);
  expect(shop.given).toEqual([0]);
  for (let i = 1; i < 40; i += 1) await shop.end(i);
  expect(shop.given).toHaveLength(41);
  await shop.end(41);
  await shop.whole();
});

test("alone each is done in its turn", async () => {
  const shop = new Workshop([1, 100, 3], 1, 0);
  for (const i of [0, 1, 2]) {
    expect(shop.running).toEqual([i]);
    await shop.end(i);
  }
  await shop.whole();
  expect(shop.given).toEqual([0, 1, 2]);
});

test("no more is held than may be, whatever ends first; every result comes once and in order", async () => {
  for (let seed = 0; seed < 200; seed += 1) {
    const dice = new Dice(seed);
    const sizes = Array.from({ length: dice.whole(0, 30) }, () => dice.whole(0, 20));
    const atATime = dice.whole(1, 4);
    const mostHeld = dice.whole(0, 40);
    const shop = new Workshop(sizes, atATime, mostHeld);
    while (shop.running.length > 0) {
      expect(shop.running.length).toBeLessThanOrEqual(atATime);
      await shop.end(dice.oneOf(shop.running));
      const waiting = shop.begun.filter((i) => !shop.running.includes(i) && !shop.given.includes(i));
      const held = waiting.reduce((sum, i) => sum + sizes[i]!, 0);
      // What ran when the limit was passed may still come in.
      expect(held).toBeLessThanOrEqual(mostHeld + 20 * atATime);
    }
    await shop.whole();
    expect(shop.given, `seed ${seed}`).toEqual(sizes.map((_, i) => i));
  }
});

test("work that fails fails in its turn", async () => {
  const work = async (i: number): Promise<number> => {
    if (i === 1) throw new Error("torn page");
    return i;
  };
  const given: number[] = [];
  const all = (async () => {
    for await (const i of inOrder([1, 1, 1], 3, 10, work)) given.push(i);
  })();
  await expect(all).rejects.toThrow("torn page");
  expect(given).toEqual([0]);
});
