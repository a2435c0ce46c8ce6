import { z } from 'zod';
import type { ElevationGrid } from '#geo-core/model/elevation.ts';
import { checkCellCount, checkedEpsg, checkedGrid, MAX_CELLS } from './grid-checks.ts';
import { TerrainError } from './terrain-error.ts';

const axisSchema = z.union([
  z.object({ start: z.number(), stop: z.number(), num: z.int().min(1) }),
  z.object({ values: z.array(z.unknown()).min(1) }),
]);

const coverageSchema = z.object({
  type: z.literal('Coverage'),
  domain: z.object({
    domainType: z.literal('Grid').optional(),
    axes: z.record(z.string(), axisSchema),
    referencing: z
      .array(z.object({ coordinates: z.array(z.string()), system: z.looseObject({ id: z.string().optional() }) }))
      .optional(),
  }),
  ranges: z.record(
    z.string(),
    z.object({
      type: z.literal('NdArray'),
      axisNames: z.array(z.string()).optional(),
      shape: z.array(z.int()).optional(),
      values: z.array(z.unknown()),
    }),
  ),
});
type Coverage = z.infer<typeof coverageSchema>;

/**
 * Reads a CoverageJSON Grid (OGC 21-069r2) with its values inline: evenly spaced axes `x` and `y` (x = east or longitude), every
 * other axis of length one, one range of heights in metres (null = not known), the system by its OGC URI. Takes parsed JSON.
 * Throws TerrainError; its message names the JSON Pointer within the coverage.
 */
export function readCoverageJson(json: unknown, source = 'inline', maxCells: number = MAX_CELLS): ElevationGrid {
  const parsed = coverageSchema.safeParse(json);
  if (!parsed.success) {
    const { path, message } = parsed.error.issues[0];
    throw badHeader(`/${path.join('/')}`, message);
  }
  const { domain, ranges } = parsed.data;
  const x = readAxis(domain.axes.x, '/domain/axes/x');
  const y = readAxis(domain.axes.y, '/domain/axes/y');
  checkCellCount(x.count, y.count, maxCells);
  return checkedGrid({
    epsg: checkedEpsg(epsgOf(domain.referencing ?? [])),
    columns: x.count,
    rows: y.count,
    firstCentreX: Math.min(x.start, x.stop),
    firstCentreY: Math.max(y.start, y.stop),
    cellX: x.stepAbs,
    cellY: y.stepAbs,
    heightsM: readRange(domain, ranges, x, y),
    source,
  });
}

function badHeader(pointer: string, what: string): TerrainError {
  return new TerrainError(
    'bad-header',
    `The CoverageJSON cannot be read at ${pointer}: ${what}.`,
    'Send a Coverage with domainType Grid, evenly spaced axes x and y, and one NdArray range with its values inline.',
  );
}

type Axis = { readonly start: number; readonly stop: number; readonly count: number; readonly stepAbs: number };

/** Share of a cell by which a listed coordinate may miss its even place (rounded decimals). */
const SPACING_TOLERANCE = 0.01;

function readAxis(axis: Coverage['domain']['axes'][string] | undefined, pointer: string): Axis {
  if (axis === undefined) throw badHeader(pointer, 'the axis is missing');
  const isListed = 'values' in axis;
  const listed = isListed ? axis.values.filter((value) => typeof value === 'number') : [];
  if (isListed && listed.length !== axis.values.length) throw badHeader(pointer, 'coordinates must be numbers');
  const count = isListed ? listed.length : axis.num;
  const start = isListed ? listed[0] : axis.start;
  const stop = isListed ? listed[count - 1] : axis.stop;
  if (count < 2) throw badHeader(pointer, 'at least two coordinates are needed to know the cell size');
  const step = (stop - start) / (count - 1);
  const stepAbs = Math.abs(step);
  const isEven = listed.every((value, index) => Math.abs(value - start - index * step) <= SPACING_TOLERANCE * stepAbs);
  if (!isEven) throw badHeader(pointer, 'coordinates are not evenly spaced');
  return { start, stop, count, stepAbs };
}

function epsgOf(referencing: NonNullable<Coverage['domain']['referencing']>): number | undefined {
  const id = referencing.find(({ coordinates }) => coordinates.includes('x') && coordinates.includes('y'))?.system.id;
  if (id === undefined) return undefined;
  if (/\/def\/crs\/OGC\/(?:1\.3|0)\/CRS84h?$/i.test(id)) return 4326;
  const code = /\/def\/crs\/EPSG\/[^/]+\/(\d+)$/i.exec(id) ?? /^(?:urn:ogc:def:crs:EPSG:[^:]*|EPSG):(\d+)$/i.exec(id);
  return code === null ? undefined : Number(code[1]);
}

/** Heights with the north row on top and west on the left, whatever the order of the axes. */
function readRange(domain: Coverage['domain'], ranges: Coverage['ranges'], x: Axis, y: Axis): Float32Array {
  const names = Object.keys(ranges);
  if (names.length !== 1) throw badHeader('/ranges', `one range is needed, ${names.length} are there`);
  const pointer = `/ranges/${names[0]}`;
  const { values, axisNames = ['y', 'x'], shape = [y.count, x.count] } = ranges[names[0]];
  for (const [name, axis] of Object.entries(domain.axes)) {
    const length = 'values' in axis ? axis.values.length : axis.num;
    if (name !== 'x' && name !== 'y' && length !== 1)
      throw badHeader(`/domain/axes/${name}`, 'only one slice can be read');
  }
  const lengths = new Map([
    ['x', x.count],
    ['y', y.count],
  ]);
  const fits = shape.length === axisNames.length && axisNames.every((name, i) => shape[i] === (lengths.get(name) ?? 1));
  if (!fits || !axisNames.includes('x') || !axisNames.includes('y') || values.length !== x.count * y.count) {
    throw badHeader(pointer, `${values.length} values of shape ${shape} do not fit axes of ${x.count} x ${y.count}`);
  }
  const isRowByRow = axisNames.indexOf('y') < axisNames.indexOf('x');
  const heightsM = new Float32Array(values.length);
  for (let i = 0; i < values.length; i++) {
    const value = values[i];
    if (value !== null && typeof value !== 'number') {
      throw new TerrainError(
        'bad-values',
        `The CoverageJSON has a value that is neither a number nor null at ${pointer}/values/${i}.`,
        'Write heights in metres as numbers, null where not known.',
      );
    }
    const alongX = isRowByRow ? i % x.count : Math.floor(i / y.count);
    const alongY = isRowByRow ? Math.floor(i / x.count) : i % y.count;
    const column = x.stop > x.start ? alongX : x.count - 1 - alongX;
    const row = y.stop < y.start ? alongY : y.count - 1 - alongY;
    heightsM[row * x.count + column] = value ?? Number.NaN;
  }
  return heightsM;
}
