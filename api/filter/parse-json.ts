import { checkFeature } from '#api/contract/check-feature.ts';
import { isObject } from '#geo-core/model/is-object.ts';
import { ProblemList } from '#geo-core/model/problem.ts';
import { type Expression, FILTER_LIMITS, type LiteralGeometry } from './expression.ts';
import { FilterError } from './filter-error.ts';
import { boxGeometry } from './literal-geometry.ts';

/** CQL2 JSON (OGC 21-065r2, 8.3) -> expression; throws `FilterError` where it cannot be read. */
export function parseJson(text: string): Expression {
  if (text.length > FILTER_LIMITS.charactersMax) {
    throw new FilterError(`the filter is longer than ${FILTER_LIMITS.charactersMax} characters`);
  }
  let json: unknown;
  try {
    json = JSON.parse(text);
  } catch {
    throw new FilterError('the filter is not JSON');
  }
  return expressionOf(json, 0);
}

function expressionOf(value: unknown, depth: number): Expression {
  if (depth > FILTER_LIMITS.depthMax) throw new FilterError('the filter is nested too deeply');
  const inner = (part: unknown) => expressionOf(part, depth + 1);
  if (typeof value === 'string' || typeof value === 'boolean') return value;
  if (typeof value === 'number' && Number.isFinite(value)) return value;
  if (Array.isArray(value)) return { list: value.map(inner) };
  if (!isObject(value)) throw new FilterError('a value is text, a number, true, false, a list or an object');
  if (typeof value.op === 'string' && Array.isArray(value.args)) {
    return { op: value.op === 'isNull' ? value.op : value.op.toLowerCase(), args: value.args.map(inner) };
  }
  if (typeof value.property === 'string') return { property: value.property };
  if (typeof value.date === 'string') return { date: value.date };
  if (typeof value.timestamp === 'string') return { timestamp: value.timestamp };
  if (Array.isArray(value.interval)) return { interval: value.interval.map(inner) };
  if (Array.isArray(value.bbox) && value.type === undefined) return { geometry: boxGeometry(value.bbox.map(inner)) };
  if (isGeometry(value)) return { geometry: value };
  throw new FilterError(
    `an object with the members ${Object.keys(value).slice(0, 5).join(', ')} is nothing CQL2 knows`,
  );
}

function isGeometry(value: unknown): value is LiteralGeometry {
  const list = new ProblemList();
  checkFeature({ type: 'Feature', properties: null, geometry: value }, [], list, { positions: 0 });
  return list.isEmpty;
}
