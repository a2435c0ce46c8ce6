/** Undo and redo of values that are never changed in place. */
export type History<Value> = {
  readonly now: Value;
  readonly before: readonly Value[];
  readonly after: readonly Value[];
};

/** Steps that can be undone; older ones are forgotten. */
const MOST_STEPS = 500;

export function historyOf<Value>(now: Value): History<Value> {
  return { now, before: [], after: [] };
}

export function commit<Value>({ now, before }: History<Value>, next: Value): History<Value> {
  return { now: next, before: [...before, now].slice(-MOST_STEPS), after: [] };
}

export function undo<Value>(history: History<Value>): History<Value> {
  const { now, before, after } = history;
  const last = before.at(-1);
  return last === undefined ? history : { now: last, before: before.slice(0, -1), after: [now, ...after] };
}

export function redo<Value>(history: History<Value>): History<Value> {
  const { now, before, after } = history;
  const [next, ...rest] = after;
  return next === undefined ? history : { now: next, before: [...before, now], after: rest };
}
