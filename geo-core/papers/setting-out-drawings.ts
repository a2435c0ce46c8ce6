import { drawFurniture } from '#geo-core/formats/drawing/draw-furniture.ts';
import { drawGround } from '#geo-core/formats/drawing/draw-ground.ts';
import { drawMarks } from '#geo-core/formats/drawing/draw-marks.ts';
import { drawSite } from '#geo-core/formats/drawing/draw-site.ts';
import { drawWire } from '#geo-core/formats/drawing/draw-wire.ts';
import { INK, WIDTH } from '#geo-core/formats/drawing/ink.ts';
import { keepInside } from '#geo-core/formats/drawing/keep-inside.ts';
import { haloed, sans } from '#geo-core/formats/drawing/lettering.ts';
import { element, group, type MarkUp } from '#geo-core/formats/drawing/mark-up.ts';
import { type Placement, placeAt, planeBox } from '#geo-core/formats/drawing/placement.ts';
import { planPlane } from '#geo-core/formats/plan-plane.ts';
import { positionsOf } from '#geo-core/model/plan-geometry.ts';
import { distanceM } from '#geo-core/plane/measure.ts';
import { boxed } from './boxed-marks.ts';
import { outline, rule } from './drawing-lines.ts';
import type { Handover } from './handover.ts';
import { type DrawingBlock, HEAD_MM, MARGIN_MM, SHEET_MM } from './paper.ts';
import type { PaperFrame } from './paper-frame.ts';
import type { References } from './reference-points.ts';
import { scaleWords } from './scale-words.ts';
import type { SettingOutMark } from './setting-out-marks.ts';
import { sheetGrid, type Tile, tilesAlong } from './sheet-grid.ts';

const STRIP_MM = 24;
/** Numbers of pegs keep this far from each other, millimetres. */
const NUMBERS_APART_MM = 7;

export type SettingOutDrawings = {
  readonly sheets: readonly DrawingBlock[];
  readonly tiles: readonly Tile[];
  readonly tileSize: { readonly width: number; readonly height: number };
  readonly place: Placement;
};

/** The whole plan at one true scale, cut into sheets across with match lines: only sheets that hold wire. */
export function settingOutDrawings(
  { plan, site }: Handover,
  frame: PaperFrame,
  marks: readonly SettingOutMark[],
  references: References | undefined,
): SettingOutDrawings {
  const { wording, sheet } = frame;
  const page = SHEET_MM[sheet];
  const whole = { width: page.height - 2 * MARGIN_MM.across, height: page.width - 2 * MARGIN_MM.across - HEAD_MM };
  const tileSize = { width: whole.width, height: whole.height - STRIP_MM };
  const plane = planPlane(plan);
  const box = planeBox(
    plane,
    plan.features.flatMap(({ geometry }) => positionsOf(geometry)),
  );
  const grid = sheetGrid(box, tileSize, wording.units);
  const middle = { x: (box.left + box.right) / 2, y: (box.bottom + box.top) / 2 };
  const field = { x: 0, y: 0, width: grid.width, height: grid.height };
  const place = placeAt(plane, middle, grid.scale, field, wording);
  const ground = drawSite(site.features, place);
  const all = boxed([
    ...ground.under,
    ...drawGround(plan, place),
    ...ground.over,
    ...drawWire(plan, place),
    ...drawMarks(plan, place),
    ...pegNumbers(marks, place),
    ...referenceMarks(references, place),
  ]);
  const tiles = tilesAlong(
    grid,
    plan.features.flatMap(({ properties, geometry }) => (properties.kind === 'route' ? place.lines(geometry) : [])),
  );
  const sheets = tiles.map((tile, i): DrawingBlock => {
    const tileField = { x: tile.x, y: tile.y, ...tileSize };
    const view = `${tile.x.toFixed(2)} ${tile.y.toFixed(2)} ${tileSize.width.toFixed(2)} ${tileSize.height.toFixed(2)}`;
    return {
      kind: 'drawing',
      page: 'landscape',
      widthMm: whole.width,
      heightMm: whole.height,
      alternative: wording.say('crew.drawingAlt', { n: i + 1, of: tiles.length, scale: wording.number(grid.scale) }),
      marks: [
        element('rect', { x: 0, y: 0, ...whole, fill: INK.paper }),
        element('svg', { x: 0, y: 0, ...tileSize, viewBox: view }, ...keepInside(all(tileField), tileField)),
        ...matchLines(tile, tiles, tileSize, wording),
        rule(0, tileSize.height, whole.width, tileSize.height),
        strip(frame, place, { tile, tiles, number: i + 1 }, tileSize, whole),
        outline(whole.width, whole.height),
      ],
    };
  });
  return { sheets, tiles, tileSize, place };
}

/** Beside their pegs, those that would touch the one before left out. */
function pegNumbers(marks: readonly SettingOutMark[], { point }: Placement): MarkUp[] {
  let [beforeX, beforeY] = [Number.NEGATIVE_INFINITY, 0];
  return marks.flatMap(({ label, what, position }) => {
    const [x, y] = point(position);
    if (what !== 'peg' || distanceM(beforeX, beforeY, x, y) < NUMBERS_APART_MM) return [];
    [beforeX, beforeY] = [x, y];
    return [sans(label, x + 1.1, y - 1, 2.1, 'start', { ...haloed(INK.paper), 'font-weight': 600 })];
  });
}

function referenceMarks(references: References | undefined, { point }: Placement): MarkUp[] {
  if (references === undefined) return [];
  const { a, b } = references;
  const [[ax, ay], [bx, by]] = [point(a.position), point(b.position)];
  const line = element('path', {
    d: `M${ax.toFixed(2)} ${ay.toFixed(2)}L${bx.toFixed(2)} ${by.toFixed(2)}`,
    fill: 'none',
    stroke: INK.line,
    'stroke-width': WIDTH.thin,
    'stroke-dasharray': '3 1',
  });
  return [
    line,
    ...([a, b] as const).flatMap(({ letter, position }) => {
      const [cx, cy] = point(position);
      return [
        element('circle', { cx, cy, r: 1.9, fill: INK.paper, stroke: INK.line, 'stroke-width': WIDTH.middle }),
        sans(letter, cx, cy + 0.95, 2.7, 'middle', { 'font-weight': 600 }),
      ];
    }),
  ];
}

type Size = { readonly width: number; readonly height: number };

/** Along an edge where another sheet goes on: a heavy chain line and which sheet it is. */
function matchLines(tile: Tile, tiles: readonly Tile[], { width, height }: Size, { say }: PaperFrame['wording']) {
  const numberOf = (column: number, row: number) =>
    tiles.findIndex((other) => other.column === column && other.row === row) + 1;
  const edges = [
    { n: numberOf(tile.column, tile.row - 1), ends: [0, 0, width, 0], at: [width / 2, 3.6], turn: 0 },
    {
      n: numberOf(tile.column, tile.row + 1),
      ends: [0, height, width, height],
      at: [width / 2, height - 1.6],
      turn: 0,
    },
    { n: numberOf(tile.column - 1, tile.row), ends: [0, 0, 0, height], at: [3.6, height / 2], turn: -90 },
    {
      n: numberOf(tile.column + 1, tile.row),
      ends: [width, 0, width, height],
      at: [width - 1.6, height / 2],
      turn: -90,
    },
  ];
  return edges
    .filter(({ n }) => n > 0)
    .map(({ n, ends: [ax, ay, bx, by], at: [x, y], turn }) =>
      group(
        element('path', {
          d: `M${ax} ${ay}L${bx} ${by}`,
          fill: 'none',
          stroke: INK.line,
          'stroke-width': 0.9,
          'stroke-dasharray': '10 2 1 2',
        }),
        element(
          'g',
          { transform: `translate(${x} ${y}) rotate(${turn})` },
          sans(say('mark.joins', { n }), 0, 0, 2.8, 'middle', { ...haloed(INK.paper), 'font-weight': 600 }),
        ),
      ),
    );
}

type Where = { readonly tile: Tile; readonly tiles: readonly Tile[]; readonly number: number };

/** Title, scale bar, north arrow, and where the sheet lies among the others. */
function strip(frame: PaperFrame, place: Placement, where: Where, tileSize: Size, whole: Size): MarkUp {
  const { say, date } = frame.wording;
  const top = tileSize.height;
  const cells: readonly (readonly [string, string, number])[] = [
    [say('title.site'), frame.siteName, 5],
    [say('page.sheet', { n: where.number, of: where.tiles.length }), scaleWords(place.scale, frame), 78],
    [say('title.date'), date(frame.isoDate), 78],
  ];
  const bar = { ...place, field: { x: whole.width - 142, y: top, width: 110, height: 28 } };
  return group(
    ...cells.flatMap(([name, value, x], i) => {
      const y = i === 2 ? top + 13 : top + 4.6;
      return [
        sans(name, x, y, 2.2, 'start', { fill: INK.soft }),
        sans(value.slice(0, 48), x, y + 4.4, i === 0 ? 3.6 : 2.9, 'start', { 'font-weight': 600 }),
      ];
    }),
    ...drawFurniture(bar),
    index(where, { x: whole.width - 30, y: top + 2, width: 27, height: STRIP_MM - 4 }),
  );
}

/** The sheets as they lie, this one filled. */
function index({ tile, tiles, number }: Where, box: Size & { readonly x: number; readonly y: number }): MarkUp {
  const columns = 1 + Math.max(...tiles.map(({ column }) => column));
  const rows = 1 + Math.max(...tiles.map(({ row }) => row));
  const cell = Math.min(box.width / (columns * 1.45), box.height / rows, 9);
  const [wide, high] = [cell * 1.45, cell];
  const left = box.x + (box.width - wide * columns) / 2;
  const upper = box.y + (box.height - high * rows) / 2;
  return group(
    ...tiles.flatMap(({ column, row }, i) => {
      const isHere = column === tile.column && row === tile.row && i + 1 === number;
      const [x, y] = [left + column * wide, upper + row * high];
      return [
        element('rect', {
          x,
          y,
          width: wide,
          height: high,
          fill: isHere ? INK.line : INK.paper,
          stroke: INK.line,
          'stroke-width': WIDTH.thin,
        }),
        sans(String(i + 1), x + wide / 2, y + high / 2 + 0.9, Math.min(2.6, high * 0.8), 'middle', {
          fill: isHere ? INK.paper : INK.line,
        }),
      ];
    }),
  );
}
