/** Something wrong with the input that cannot be mended: where (RFC 6901 JSON Pointer into the input) and what to do about it. */
export type Problem = { readonly pointer: string; readonly message: string };

/** As many problems as one answer lists; the rest is counted. */
const PROBLEMS_MAX = 100;

/** The input cannot be planned. `problems` holds the first `PROBLEMS_MAX`, `more` counts the rest. */
export class SiteError extends Error {
  override readonly name = 'SiteError';
  readonly problems: readonly Problem[];
  readonly more: number;

  constructor(problems: readonly Problem[], more: number) {
    const [first] = problems;
    super(
      `the site has ${problems.length + more} problems, the first at "${first?.pointer ?? ''}": ${first?.message ?? ''}`,
    );
    this.problems = problems;
    this.more = more;
  }
}

/** Gathers problems in bounded memory: pointers are written only for those that are kept. */
export class ProblemList {
  readonly problems: Problem[] = [];
  more: number;

  /** `more`: problems known of before any is added. */
  constructor(more = 0) {
    this.more = more;
  }

  add(tokens: readonly (string | number)[], message: string): void {
    if (this.problems.length < PROBLEMS_MAX) this.problems.push({ pointer: pointerOf(tokens), message });
    else this.more++;
  }

  /** The same with the pointer already written. */
  addAt(pointer: string, message: string): void {
    if (this.problems.length < PROBLEMS_MAX) this.problems.push({ pointer, message });
    else this.more++;
  }

  get isEmpty(): boolean {
    return this.problems.length === 0;
  }
}

/** RFC 6901: `['features', 3, 'a/b']` -> `/features/3/a~1b`. */
export function pointerOf(tokens: readonly (string | number)[]): string {
  return tokens.map((token) => `/${String(token).replaceAll('~', '~0').replaceAll('/', '~1')}`).join('');
}
