import { useEffect, useState } from "preact/hooks";

/** A value that components follow. */
export class Store<T extends object> {
  #state: T;
  readonly #listeners = new Set<() => void>();

  constructor(state: T) {
    this.#state = state;
  }

  get state(): T {
    return this.#state;
  }

  change(part: Partial<T>): void {
    const next = { ...this.#state, ...part };
    const same = (Object.keys(part) as (keyof T)[]).every((key) => Object.is(next[key], this.#state[key]));
    if (same) return;
    this.#state = next;
    for (const listener of [...this.#listeners]) listener();
  }

  /** Calls back after each change, until the returned function is called. */
  subscribe(listener: () => void): () => void {
    this.#listeners.add(listener);
    return () => this.#listeners.delete(listener);
  }
}

/** A part of a store's state; the component is drawn anew when it changes. `select` gives the same for the same state. */
export function useStore<T extends object, S>(store: Store<T>, select: (state: T) => S): S {
  const [, redraw] = useState({});
  const selected = select(store.state);
  useEffect(() => {
    let last = select(store.state);
    if (!Object.is(last, selected)) redraw({});
    return store.subscribe(() => {
      const next = select(store.state);
      if (Object.is(next, last)) return;
      last = next;
      redraw({});
    });
  }, [store]);
  return selected;
}
