/** What the server takes upon itself, so that neither much nor slowly sent stuff can harm it. */
export interface Limits {
  /** The longest score that is taken, in bytes as sent. */
  readonly scoreBytes: number;
  /** The longest question of the page, in bytes. */
  readonly questionBytes: number;
  /** What all requests in hand may hold together, in bytes. */
  readonly heldBytes: number;
  /** Requests with a body that are in hand at a time. */
  readonly inHand: number;
  /** Connections at a time; what comes on top is closed at once. */
  readonly connections: number;
  /** How long a request may take to be sent, in milliseconds: its headers, and all of it. */
  readonly headersMs: number;
  readonly requestMs: number;
  /** How long a reader may take nothing of an answer, in milliseconds. */
  readonly unreadMs: number;
}

export const usualLimits: Limits = {
  scoreBytes: 32_000_000,
  questionBytes: 100_000,
  heldBytes: 64_000_000,
  inHand: 32,
  connections: 64,
  headersMs: 10_000,
  requestMs: 30_000,
  unreadMs: 30_000,
};
