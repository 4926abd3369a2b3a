/**
 * Does pieces of work, several at a time, and gives what they come to in their own order. A piece that is a great part
 * of the whole is begun early, the largest first, so that none is left to be waited for in the end.
 *
 * @param sizes    sizes[i]: how much work piece i is, about.
 * @param atATime  pieces that are begun and not done, at most.
 * @param mostHeld the size of pieces that are done before one that comes earlier, at most: then that one goes first.
 * @param work     does piece i.
 * @throws what `work` throws, once it is that piece's turn.
 */
export async function* inOrder<T>(
  sizes: readonly number[],
  atATime: number,
  mostHeld: number,
  work: (i: number) => Promise<T>,
): AsyncGenerator<T> {
  const order = beginning(sizes, atATime);
  const begun = new Set<number>();
  const done = new Map<number, () => T>();
  let ordered = 0;
  let running = 0;
  let held = 0;
  let wake = (): void => {};
  const begin = (i: number): void => {
    begun.add(i);
    running += 1;
    const end = (result: () => T): void => {
      done.set(i, result);
      running -= 1;
      held += sizes[i]!;
      wake();
    };
    work(i).then(
      (value) => end(() => value),
      (error: unknown) =>
        end(() => {
          throw error;
        }),
    );
  };
  for (let next = 0; next < sizes.length; ) {
    while (running < atATime) {
      while (ordered < order.length && begun.has(order[ordered]!)) ordered += 1;
      const one = held > mostHeld ? next : order[ordered];
      if (one === undefined || begun.has(one)) break;
      begin(one);
    }
    const result = done.get(next);
    if (!result) {
      await new Promise<void>((resolve) => {
        wake = resolve;
      });
      continue;
    }
    done.delete(next);
    held -= sizes[next]!;
    next += 1;
    yield result();
  }
}

/** Pieces above this part of the whole go before the others. */
const greatPart = 1 / 16;

function beginning(sizes: readonly number[], atATime: number): number[] {
  const all = sizes.map((_, i) => i);
  if (atATime === 1) return all;
  const whole = sizes.reduce((sum, size) => sum + size, 0);
  const isGreat = (i: number): boolean => sizes[i]! > (whole / atATime) * greatPart;
  const great = all.filter(isGreat).sort((a, b) => sizes[b]! - sizes[a]! || a - b);
  return [...great, ...all.filter((i) => !isGreat(i))];
}
