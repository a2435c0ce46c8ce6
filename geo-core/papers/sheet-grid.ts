import type { PlaneBox } from '#geo-core/formats/drawing/placement.ts';
import type { Polyline } from '#geo-core/model/position.ts';

/** Scales of setting-out drawings; 1 : 5000, 10,000, 20,000, ... go on where the series ends. */
const SCALES = { metric: [50, 100, 200, 250, 500, 1000, 2500], us: [48, 120, 240, 480, 960, 2400] } as const;
/** How many sheets a scale may take before the next is tried. */
const SHEETS_MAX = [
  { scaleMax: 50, sheets: 2 },
  { scaleMax: 120, sheets: 8 },
  { scaleMax: 250, sheets: 12 },
  { scaleMax: 500, sheets: 16 },
  { scaleMax: 1000, sheets: 24 },
  { scaleMax: Number.POSITIVE_INFINITY, sheets: 40 },
] as const;
/** Room for labels round the whole, millimetres. */
const CLEAR_MM = 14;

export type Tile = {
  readonly column: number;
  readonly row: number;
  /** Upper left corner in the whole drawing, millimetres. */
  readonly x: number;
  readonly y: number;
};
export type SheetGrid = {
  readonly scale: number;
  /** Of the whole drawing, millimetres. */
  readonly width: number;
  readonly height: number;
  readonly columns: number;
  readonly rows: number;
  /** How much larger the sheets are than what they hold, millimetres. */
  readonly slackX: number;
  readonly slackY: number;
};

/** The largest scale at which a box of the plane needs few enough sheets with a field of so many millimetres. */
export function sheetGrid(
  { left, bottom, right, top }: PlaneBox,
  field: { readonly width: number; readonly height: number },
  units: 'metric' | 'us',
): SheetGrid {
  const gridAt = (scale: number): SheetGrid => {
    const width = ((right - left) * 1000) / scale + 2 * CLEAR_MM;
    const height = ((top - bottom) * 1000) / scale + 2 * CLEAR_MM;
    const [columns, rows] = [Math.ceil(width / field.width), Math.ceil(height / field.height)];
    const sheets = { width: columns * field.width, height: rows * field.height };
    return { scale, ...sheets, columns, rows, slackX: sheets.width - width, slackY: sheets.height - height };
  };
  const series: readonly number[] = SCALES[units];
  for (let i = 0; ; i++) {
    const scale = series.at(i) ?? 5000 * 2 ** (i - series.length);
    const grid = gridAt(scale);
    const sheetsMax = SHEETS_MAX.find(({ scaleMax }) => scale <= scaleMax)?.sheets ?? 0;
    if (grid.columns * grid.rows <= sheetsMax) return grid;
  }
}

/**
 * The tiles that one of the lines runs through, by rows. The grid is larger than what it holds: of the ways to lay it the one with
 * the fewest sheets is taken, the one nearest to the middle among equals.
 */
export function tilesAlong(grid: SheetGrid, lines: readonly Polyline[]): readonly Tile[] {
  let best: readonly Tile[] | undefined;
  for (const shareX of SHIFTS) {
    for (const shareY of SHIFTS) {
      const tiles = tilesShifted(grid, lines, shareX * grid.slackX, shareY * grid.slackY);
      if (best === undefined || tiles.length < best.length) best = tiles;
    }
  }
  return best ?? [];
}

/** Shares of the slack, from the middle out. */
const SHIFTS = [0, -0.25, 0.25, -0.5, 0.5];

function tilesShifted(
  { columns, rows, width, height }: SheetGrid,
  lines: readonly Polyline[],
  shiftX: number,
  shiftY: number,
): readonly Tile[] {
  const [tileWidth, tileHeight] = [width / columns, height / rows];
  const seen = new Set<number>();
  for (const line of lines) {
    for (let i = 0; i + 3 < line.length; i += 2) {
      const [ax, ay, bx, by] = line.subarray(i, i + 4);
      const steps = Math.max(1, Math.ceil(Math.max(Math.abs(bx - ax), Math.abs(by - ay)) / STEP_MM));
      for (let k = 0; k <= steps; k++) {
        const [x, y] = [ax + ((bx - ax) * k) / steps, ay + ((by - ay) * k) / steps];
        const column = Math.min(columns - 1, Math.max(0, Math.floor((x - shiftX) / tileWidth)));
        const row = Math.min(rows - 1, Math.max(0, Math.floor((y - shiftY) / tileHeight)));
        seen.add(row * columns + column);
      }
    }
  }
  return [...seen]
    .sort((a, b) => a - b)
    .map((at) => {
      const [column, row] = [at % columns, Math.floor(at / columns)];
      return { column, row, x: column * tileWidth + shiftX, y: row * tileHeight + shiftY };
    });
}

/** A line of wire shorter than this over the corner of a tile does not need a sheet. */
const STEP_MM = 2;
