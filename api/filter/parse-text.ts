import type { Geometry, Position } from '#api/store/geometry.ts';
import { type Expression, FILTER_LIMITS, type LiteralGeometry } from './expression.ts';
import { FilterError } from './filter-error.ts';
import { boxGeometry } from './literal-geometry.ts';
import { type Token, tokens } from './tokens.ts';

const OR = 1;
const AND = 2;
const NOT = 3;
const COMPARE = 4;
const SUM = 5;
const PRODUCT = 6;
const POWER = 7;
const SIGNED = 8;

const COMPARISONS = new Set(['=', '<>', '<', '>', '<=', '>=']);
const PRODUCTS = new Set(['*', '/', '%']);
const GEOMETRIES = new Set([
  'POINT',
  'LINESTRING',
  'POLYGON',
  'MULTIPOINT',
  'MULTILINESTRING',
  'MULTIPOLYGON',
  'GEOMETRYCOLLECTION',
]);

/** CQL2 text -> expression; throws `FilterError` where it cannot be read. */
export function parseText(text: string): Expression {
  if (text.length > FILTER_LIMITS.charactersMax) {
    throw new FilterError(`the filter is longer than ${FILTER_LIMITS.charactersMax} characters`);
  }
  const parser = new Parser(tokens(text));
  const expression = parser.expression(0);
  parser.expectEnd();
  return expression;
}

/** Precedence climbing over the tokens; every level of nesting is counted. */
class Parser {
  readonly list: readonly Token[];
  next = 0;
  depth = 0;

  constructor(list: readonly Token[]) {
    this.list = list;
  }

  expression(least: number): Expression {
    this.depth += 1;
    if (this.depth > FILTER_LIMITS.depthMax) throw new FilterError('the filter is nested too deeply');
    let left = this.operand();
    for (;;) {
      const more = this.operator(left, least);
      if (more === undefined) break;
      left = more;
    }
    this.depth -= 1;
    return left;
  }

  /** What follows an operand, where it binds at least as strongly as asked. */
  operator(left: Expression, least: number): Expression | undefined {
    const token = this.peek();
    if (token.kind === 'sign') {
      const { text } = token;
      const binary = (level: number, deeper: number, name = text) => {
        if (level < least) return undefined;
        this.next += 1;
        return { op: name, args: [left, this.expression(deeper)] };
      };
      if (COMPARISONS.has(text)) return binary(COMPARE, SUM);
      if (text === '+' || text === '-') return binary(SUM, PRODUCT);
      if (PRODUCTS.has(text)) return binary(PRODUCT, POWER);
      return text === '^' ? binary(POWER, POWER) : undefined;
    }
    if (token.kind !== 'word' || token.isQuoted) return undefined;
    const word = token.text.toUpperCase();
    if (word === 'OR' && OR >= least) return this.binaryWord('or', left, AND);
    if (word === 'AND' && AND >= least) return this.binaryWord('and', left, NOT);
    if (word === 'DIV' && PRODUCT >= least) return this.binaryWord('div', left, POWER);
    return COMPARE >= least ? this.predicate(left) : undefined;
  }

  binaryWord(op: string, left: Expression, deeper: number): Expression {
    this.next += 1;
    return { op, args: [left, this.expression(deeper)] };
  }

  /** LIKE, BETWEEN, IN, IS NULL, each of them with NOT. */
  predicate(left: Expression): Expression | undefined {
    if (this.takeWord('IS')) {
      const negated = this.takeWord('NOT');
      if (!this.takeWord('NULL')) throw this.unexpected('NULL');
      return negate({ op: 'isNull', args: [left] }, negated);
    }
    const negated = this.isWord('NOT') && this.takeWord('NOT');
    if (this.takeWord('LIKE')) return negate({ op: 'like', args: [left, this.expression(SUM)] }, negated);
    if (this.takeWord('BETWEEN')) {
      const low = this.expression(SUM);
      if (!this.takeWord('AND')) throw this.unexpected('AND');
      return negate({ op: 'between', args: [left, low, this.expression(SUM)] }, negated);
    }
    if (this.takeWord('IN')) {
      this.expectSign('(');
      return negate({ op: 'in', args: [left, { list: this.listUpTo(')') }] }, negated);
    }
    if (negated) throw this.unexpected('LIKE, BETWEEN or IN');
    return undefined;
  }

  operand(): Expression {
    const token = this.peek();
    this.next += 1;
    switch (token.kind) {
      case 'text':
        return token.text;
      case 'number':
        return token.value;
      case 'end':
        throw new FilterError('the filter ends where a value is wanted');
      case 'word':
        return token.isQuoted ? { property: token.text } : this.word(token.text);
      case 'sign':
        if (token.text === '-') return negative(this.expression(SIGNED));
        if (token.text === '+') return this.expression(SIGNED);
        if (token.text === '(') return this.inBrackets();
        this.next -= 1;
        throw this.unexpected('a value');
    }
  }

  inBrackets(): Expression {
    if (this.takeSign(')')) return { list: [] };
    const first = this.expression(0);
    if (this.takeSign(')')) return first;
    this.expectSign(',');
    return { list: [first, ...this.listUpTo(')')] };
  }

  listUpTo(end: string): Expression[] {
    const list: Expression[] = [];
    if (this.takeSign(end)) return list;
    do list.push(this.expression(0));
    while (this.takeSign(','));
    this.expectSign(end);
    return list;
  }

  word(text: string): Expression {
    const word = text.toUpperCase();
    if (word === 'NOT') return { op: 'not', args: [this.expression(NOT)] };
    if (word === 'TRUE') return true;
    if (word === 'FALSE') return false;
    if (GEOMETRIES.has(word) && this.looksLikeGeometry()) return { geometry: this.geometry(word) };
    if (!this.takeSign('(')) return { property: text };
    const args = this.listUpTo(')');
    switch (word) {
      case 'DATE':
        return { date: onlyText(args, word) };
      case 'TIMESTAMP':
        return { timestamp: onlyText(args, word) };
      case 'INTERVAL':
        return { interval: args };
      case 'BBOX':
        return { geometry: boxGeometry(args) };
      default:
        return { op: text.toLowerCase(), args };
    }
  }

  looksLikeGeometry(): boolean {
    const token = this.peek();
    return (token.kind === 'sign' && token.text === '(') || this.isWord('Z') || this.isWord('EMPTY');
  }

  /** Well-known text; heights are passed over. */
  geometry(word: string): LiteralGeometry {
    const hasHeight = this.takeWord('Z');
    const size = hasHeight ? 3 : undefined;
    const position = () => this.position(size);
    const line = () => this.inParentheses(position);
    const rings = () => this.inParentheses(line);
    switch (word) {
      case 'POINT': {
        const [coordinates, ...more] = this.inParentheses(position);
        if (more.length > 0) throw new FilterError('a POINT has one position');
        return { type: 'Point', coordinates };
      }
      case 'LINESTRING':
        return { type: 'LineString', coordinates: line() };
      case 'POLYGON':
        return { type: 'Polygon', coordinates: rings() };
      case 'MULTIPOINT':
        return {
          type: 'MultiPoint',
          coordinates: this.inParentheses(() => {
            const inner = this.takeSign('(');
            const point = position();
            if (inner) this.expectSign(')');
            return point;
          }),
        };
      case 'MULTILINESTRING':
        return { type: 'MultiLineString', coordinates: rings() };
      case 'MULTIPOLYGON':
        return { type: 'MultiPolygon', coordinates: this.inParentheses(rings) };
      default:
        return { type: 'GeometryCollection', geometries: this.inParentheses(() => this.member()) };
    }
  }

  member(): Geometry {
    const token = this.peek();
    const word = token.kind === 'word' ? token.text.toUpperCase() : '';
    if (!GEOMETRIES.has(word) || word === 'GEOMETRYCOLLECTION') throw this.unexpected('a geometry');
    this.next += 1;
    const geometry = this.geometry(word);
    if (geometry.type === 'GeometryCollection') throw this.unexpected('a geometry');
    return geometry;
  }

  inParentheses<Thing>(read: () => Thing): Thing[] {
    this.expectSign('(');
    const list = [read()];
    while (this.takeSign(',')) list.push(read());
    this.expectSign(')');
    return list;
  }

  position(size: number | undefined): Position {
    const numbers: number[] = [];
    for (let token = this.peek(); token.kind !== 'end'; token = this.peek()) {
      const negated = token.kind === 'sign' && token.text === '-';
      if (negated) this.next += 1;
      const value = this.peek();
      if (value.kind !== 'number') break;
      this.next += 1;
      numbers.push(negated ? -value.value : value.value);
    }
    const isRight = size === undefined ? numbers.length === 2 || numbers.length === 3 : numbers.length === size;
    if (!isRight) throw this.unexpected('the two numbers of a position');
    return numbers.slice(0, 2);
  }

  peek(): Token {
    return this.list[this.next];
  }

  isWord(word: string): boolean {
    const token = this.peek();
    return token.kind === 'word' && !token.isQuoted && token.text.toUpperCase() === word;
  }

  takeWord(word: string): boolean {
    const found = this.isWord(word);
    if (found) this.next += 1;
    return found;
  }

  takeSign(sign: string): boolean {
    const token = this.peek();
    const found = token.kind === 'sign' && token.text === sign;
    if (found) this.next += 1;
    return found;
  }

  expectSign(sign: string): void {
    if (!this.takeSign(sign)) throw this.unexpected(`"${sign}"`);
  }

  expectEnd(): void {
    if (this.peek().kind !== 'end') throw this.unexpected('the end');
  }

  unexpected(wanted: string): FilterError {
    return new FilterError(`${wanted} is wanted at character ${this.peek().at + 1}`);
  }
}

function negate(expression: Expression, negated: boolean): Expression {
  return negated ? { op: 'not', args: [expression] } : expression;
}

function negative(value: Expression): Expression {
  return typeof value === 'number' ? -value : { op: '*', args: [-1, value] };
}

function onlyText(args: readonly Expression[], word: string): string {
  const [text] = args;
  if (args.length === 1 && typeof text === 'string') return text;
  throw new FilterError(`${word}(...) holds one text`);
}
