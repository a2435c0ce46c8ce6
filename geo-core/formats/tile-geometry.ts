/** A whole-numbered place in a tile: x to the east, y to the south. */
export type TilePlace = readonly [number, number];

export const TILE_GEOMETRY_TYPES = { point: 1, line: 2, polygon: 3 } as const;
export type TileGeometryType = keyof typeof TILE_GEOMETRY_TYPES;

const MOVE_TO = 1;
const LINE_TO = 2;
const CLOSE_PATH = 7;

/** A command and how often it is repeated (Vector Tile Specification 2.1, 4.3.1). */
export function commandInteger(id: number, count: number): number {
  return (id & 0x7) | (count << 3);
}

/** Zigzag: small numbers of either sign become small unsigned ones (4.3.2). */
function parameterInteger(value: number): number {
  return (value << 1) ^ (value >> 31);
}

/**
 * Points, lines or rings -> command and parameter integers (4.3.4). Rings come without a repeated end; in tile coordinates outer rings
 * have a positive area and holes a negative one.
 */
export function encodeTileGeometry(type: TileGeometryType, lines: readonly (readonly TilePlace[])[]): number[] {
  const out: number[] = [];
  let [penX, penY] = [0, 0];
  const moveBy = ([x, y]: TilePlace) => {
    out.push(parameterInteger(x - penX), parameterInteger(y - penY));
    [penX, penY] = [x, y];
  };
  if (type === 'point') {
    const points = lines.flat();
    out.push(commandInteger(MOVE_TO, points.length));
    for (const point of points) moveBy(point);
    return out;
  }
  for (const line of lines) {
    out.push(commandInteger(MOVE_TO, 1));
    moveBy(line[0]);
    out.push(commandInteger(LINE_TO, line.length - 1));
    for (const place of line.slice(1)) moveBy(place);
    if (type === 'polygon') out.push(commandInteger(CLOSE_PATH, 1));
  }
  return out;
}
