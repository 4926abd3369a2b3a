import { type CancellationToken, ErrorCodes, LSPErrorCodes, ResponseError } from "vscode-languageserver/node";
import { GuardError } from "../../shared/musicxml/guard.ts";
import { InputError } from "../../shared/text/problem.ts";

/** From where to where a session goes. */
export type Phase = "before initialize" | "running" | "after shutdown";

/**
 * Stands between the connection and the handlers: a handler that throws costs one answer, and a bug is logged with
 * its place.
 */
export class Dispatcher {
  phase: Phase = "before initialize";
  readonly #log: (message: string) => void;

  constructor(log: (message: string) => void) {
    this.#log = log;
  }

  /** A request's handler; it may throw a ResponseError, with data of kind D, or an InputError to say no. */
  request<P, R, D = void>(
    name: string,
    handler: (params: P, token: CancellationToken) => R | Promise<R>,
  ): (params: P, token: CancellationToken) => Promise<R | ResponseError<D>> {
    return async (params, token) => {
      if (this.phase === "before initialize") {
        return new ResponseError(ErrorCodes.ServerNotInitialized, `${name} came before initialize.`);
      }
      if (this.phase === "after shutdown") {
        return new ResponseError(ErrorCodes.InvalidRequest, `${name} came after shutdown.`);
      }
      if (token.isCancellationRequested) {
        return new ResponseError(LSPErrorCodes.RequestCancelled, `${name} was cancelled.`);
      }
      try {
        return await handler(params, token);
      } catch (error) {
        return this.#refusal<D>(name, error);
      }
    };
  }

  /** A notification's handler. Nothing is answered; what it throws is logged. */
  notification<P>(name: string, handler: (params: P) => void): (params: P) => void {
    return (params) => {
      if (this.phase === "running") this.guard(name, () => handler(params));
    };
  }

  /** Runs a task that nobody asked for, after a pause, say. */
  guard(name: string, task: () => void): void {
    try {
      task();
    } catch (error) {
      this.#log(described(name, error));
    }
  }

  #refusal<D>(name: string, error: unknown): ResponseError<D> {
    if (error instanceof ResponseError) return error;
    if (!(error instanceof InputError) || error instanceof GuardError) this.#log(described(name, error));
    if (error instanceof InputError) return new ResponseError(LSPErrorCodes.RequestFailed, error.message);
    const what = error instanceof Error ? error.message : String(error);
    return new ResponseError(ErrorCodes.InternalError, `${name} failed: ${what}`);
  }
}

function described(name: string, error: unknown): string {
  return `${name}: ${error instanceof Error ? (error.stack ?? error.message) : String(error)}`;
}
