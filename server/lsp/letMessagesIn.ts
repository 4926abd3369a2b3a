/** Messages are taken in one after the other; this is time for a good number of them, in milliseconds. */
const pauseMs = 10;

/** After work that kept all messages waiting: resolves once those that have come meanwhile are taken in. */
export function letMessagesIn(): Promise<void> {
  return new Promise((resolve) => setTimeout(resolve, pauseMs));
}
