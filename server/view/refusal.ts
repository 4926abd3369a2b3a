/** Why a request gets nothing but a sentence. */
export class Refusal extends Error {
  override readonly name = "Refusal";
  /** Of HTTP. */
  readonly status: number;
  readonly headers: Readonly<Record<string, string>>;

  /** @param message for people: what is wrong, and what to do. */
  constructor(status: number, message: string, headers: Readonly<Record<string, string>> = {}) {
    super(message);
    this.status = status;
    this.headers = headers;
  }
}
