import type { Geometry, Position } from '#api/store/geometry.ts';
import { type Expression, FILTER_LIMITS } from './expression.ts';
import { FilterError } from './filter-error.ts';
import { likePattern, plainText } from './like.ts';
import { mapLiteral } from './literal-geometry.ts';
import { type Shape, SPATIAL, shapeOf } from './spatial.ts';
import { instantOf, literalInstant, type Span, TEMPORAL } from './temporal.ts';

/** What a filter looks at. */
type Subject = { readonly geometry: Geometry; readonly properties: Readonly<Record<string, unknown>> };
/** true, false, or null for unknown (three-valued logic, as in SQL). */
export type Test = (subject: Subject) => boolean | null;

type Value = string | number | boolean | null | Span | readonly Value[] | Shape;
type Read = (subject: Subject) => Value;

export type FilterScheme = {
  /** Names that may be asked for. */
  readonly isKnown: (property: string) => boolean;
  readonly geometryName: string;
  /** Positions of literals, as the caller's coordinate system has them, to longitude and latitude; throws for no place on earth. */
  readonly place: (position: Position) => Position;
};

/** Expression -> test; throws `FilterError` for what can never be answered. */
export function compileFilter(expression: Expression, scheme: FilterScheme): Test {
  const test = compiler(scheme).read(expression);
  return (subject) => truth(test(subject));
}

const ARITHMETIC: Readonly<Record<string, (a: number, b: number) => number>> = {
  '+': (a, b) => a + b,
  '-': (a, b) => a - b,
  '*': (a, b) => a * b,
  '/': (a, b) => a / b,
  '%': (a, b) => a % b,
  '^': (a, b) => a ** b,
  div: (a, b) => Math.trunc(a / b),
};

const COMPARE: Readonly<Record<string, (order: number) => boolean>> = {
  '=': (order) => order === 0,
  '<>': (order) => order !== 0,
  '<': (order) => order < 0,
  '>': (order) => order > 0,
  '<=': (order) => order <= 0,
  '>=': (order) => order >= 0,
};

const LISTS: Readonly<Record<string, (a: ReadonlySet<Value>, b: ReadonlySet<Value>) => boolean>> = {
  a_equals: (a, b) => a.size === b.size && [...a].every((value) => b.has(value)),
  a_contains: (a, b) => [...b].every((value) => a.has(value)),
  a_containedby: (a, b) => [...a].every((value) => b.has(value)),
  a_overlaps: (a, b) => [...a].some((value) => b.has(value)),
};

function compiler({ isKnown, geometryName, place }: FilterScheme) {
  let nodes = 0;

  function read(expression: Expression): Read {
    nodes += 1;
    if (nodes > FILTER_LIMITS.nodesMax) throw new FilterError('the filter has too many parts');
    if (expression === null || typeof expression !== 'object') return () => expression;
    if ('property' in expression) return propertyOf(expression.property);
    if ('date' in expression) return constant(literalInstant(expression.date, 'date'));
    if ('timestamp' in expression) return constant(literalInstant(expression.timestamp, 'timestamp'));
    if ('interval' in expression) return interval(expression.interval);
    if ('list' in expression) return allOf(expression.list.map(read));
    if ('geometry' in expression) return constant(shapeOf(mapLiteral(expression.geometry, place)));
    return operation(expression.op, expression.args);
  }

  function propertyOf(name: string): Read {
    if (!isKnown(name)) throw new FilterError(`there is no property "${name.slice(0, 40)}" to ask for`);
    return name === geometryName ? ({ geometry }) => shapeOf(geometry) : ({ properties }) => scalarOf(properties[name]);
  }

  function interval(ends: readonly Expression[]): Read {
    if (ends.length !== 2) throw new FilterError('an INTERVAL has a start and an end');
    const [start, end] = ends.map((bound) => (bound === '..' ? constant(null) : read(bound)));
    const [openStart, openEnd] = ends.map((bound) => bound === '..');
    return (subject) => {
      const [from, to] = [spanOf(start(subject)), spanOf(end(subject))];
      if ((from === null && !openStart) || (to === null && !openEnd)) return null;
      return { startMs: from?.startMs ?? -Infinity, endMs: to?.endMs ?? Infinity };
    };
  }

  function operation(op: string, args: readonly Expression[]): Read {
    const take = (count: number): Read[] => {
      if (args.length === count) return args.map(read);
      throw new FilterError(`"${op}" takes ${count} arguments, not ${args.length}`);
    };
    if (op === 'and' || op === 'or') return joined(op, args.map(read));
    if (op === 'not') return negation(take(1)[0]);
    if (op === 'isNull') return isNull(take(1)[0]);
    if (op === 'like') return like(args, take(2));
    if (op === 'between') return between(take(3));
    if (op === 'in') return isIn(take(2));
    if (op === 'casei' || op === 'accenti') return textFunction(op, take(1)[0]);
    if (Object.hasOwn(COMPARE, op)) return comparison(COMPARE[op], take(2));
    if (Object.hasOwn(ARITHMETIC, op)) return arithmetic(ARITHMETIC[op], take(2));
    if (Object.hasOwn(SPATIAL, op)) return spatial(op, take(2));
    if (Object.hasOwn(TEMPORAL, op)) return temporal(op, take(2));
    if (Object.hasOwn(LISTS, op)) return lists(LISTS[op], take(2));
    throw new FilterError(`there is no operator or function "${op.slice(0, 40)}" here`);
  }

  return { read };
}

function constant(value: Value): Read {
  return () => value;
}

function allOf(reads: readonly Read[]): Read {
  return (subject) => reads.map((one) => one(subject));
}

/** Unknown unless one side decides alone. */
function joined(op: 'and' | 'or', tests: readonly Read[]): Read {
  const decides = op === 'or';
  return (subject) => {
    let isUnknown = false;
    for (const test of tests) {
      const answer = truth(test(subject));
      if (answer === decides) return decides;
      isUnknown ||= answer === null;
    }
    return isUnknown ? null : !decides;
  };
}

function negation(test: Read): Read {
  return (subject) => {
    const answer = truth(test(subject));
    return answer === null ? null : !answer;
  };
}

function isNull(read: Read): Read {
  return (subject) => read(subject) === null;
}

function like(args: readonly Expression[], [read, readPattern]: readonly Read[]): Read {
  const [, given] = args;
  const fixed = typeof given === 'string' ? likePattern(given) : undefined;
  return (subject) => {
    const [text, pattern] = [read(subject), readPattern(subject)];
    if (typeof text !== 'string' || typeof pattern !== 'string') return null;
    return (fixed ?? likePattern(pattern))(text);
  };
}

function between([read, low, high]: readonly Read[]): Read {
  return (subject) => {
    const value = read(subject);
    const [below, above] = [order(value, low(subject)), order(value, high(subject))];
    return below === null || above === null ? null : below >= 0 && above <= 0;
  };
}

function isIn([read, list]: readonly Read[]): Read {
  return (subject) => {
    const value = read(subject);
    const members = list(subject);
    if (value === null || !isList(members)) return null;
    const orders = members.map((member) => order(value, member));
    return orders.includes(0) ? true : orders.includes(null) ? null : false;
  };
}

function textFunction(op: 'casei' | 'accenti', read: Read): Read {
  const turn = (value: Value): Value => {
    if (isList(value)) return value.map(turn);
    return typeof value === 'string' ? plainText(value, op) : value;
  };
  return (subject) => turn(read(subject));
}

function comparison(decide: (order: number) => boolean, [left, right]: readonly Read[]): Read {
  return (subject) => {
    const found = order(left(subject), right(subject));
    return found === null ? null : decide(found);
  };
}

function arithmetic(compute: (a: number, b: number) => number, [left, right]: readonly Read[]): Read {
  return (subject) => {
    const [a, b] = [left(subject), right(subject)];
    if (typeof a !== 'number' || typeof b !== 'number') return null;
    const result = compute(a, b);
    return Number.isFinite(result) ? result : null;
  };
}

function spatial(op: string, [left, right]: readonly Read[]): Read {
  return (subject) => {
    const [a, b] = [left(subject), right(subject)];
    return isShape(a) && isShape(b) ? SPATIAL[op](a, b) : null;
  };
}

function temporal(op: string, [left, right]: readonly Read[]): Read {
  return (subject) => {
    const [a, b] = [spanOf(left(subject)), spanOf(right(subject))];
    return a === null || b === null ? null : TEMPORAL[op](a, b);
  };
}

function lists(
  decide: (a: ReadonlySet<Value>, b: ReadonlySet<Value>) => boolean,
  [left, right]: readonly Read[],
): Read {
  return (subject) => {
    const [a, b] = [left(subject), right(subject)];
    if (a === null || b === null) return null;
    return decide(new Set(isList(a) ? a : [a]), new Set(isList(b) ? b : [b]));
  };
}

function truth(value: Value): boolean | null {
  return typeof value === 'boolean' ? value : null;
}

function isList(value: Value): value is readonly Value[] {
  return Array.isArray(value);
}

function isShape(value: Value): value is Shape {
  return typeof value === 'object' && value !== null && 'topology' in value;
}

function isSpan(value: Value): value is Span {
  return typeof value === 'object' && value !== null && 'startMs' in value;
}

/** Texts that hold an instant count as one where an instant is wanted. */
function spanOf(value: Value): Span | null {
  if (typeof value === 'string') return instantOf(value) ?? null;
  return isSpan(value) ? value : null;
}

/** Negative, zero or positive; null where the two cannot be compared. */
function order(a: Value, b: Value): number | null {
  if (isSpan(a) || isSpan(b)) {
    const [left, right] = [spanOf(a), spanOf(b)];
    return left === null || right === null ? null : left.startMs - right.startMs;
  }
  if (typeof a === 'number' && typeof b === 'number') return a - b;
  if (typeof a === 'boolean' && typeof b === 'boolean') return Number(a) - Number(b);
  if (typeof a === 'string' && typeof b === 'string') return a < b ? -1 : a > b ? 1 : 0;
  return null;
}

/** A property's value; what is no scalar and no list of scalars counts as its JSON. */
function scalarOf(value: unknown): Value {
  if (value === undefined || value === null) return null;
  if (typeof value === 'string' || typeof value === 'number' || typeof value === 'boolean') return value;
  return Array.isArray(value) ? value.map(scalarOf) : JSON.stringify(value);
}
