const WRONG_CALL = 2;

/** What cannot be done: one line, no stack. */
export function giveUp(error: unknown): void {
  process.stderr.write(`${error instanceof Error ? error.message : String(error)}\n`);
  process.exitCode = WRONG_CALL;
}
