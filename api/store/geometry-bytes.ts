import { boxOf, type Geometry, type Position } from './geometry.ts';

/** Type codes of OGC 06-103r4, 8.2.8. */
const CODES = { Point: 1, LineString: 2, Polygon: 3, MultiPoint: 4, MultiLineString: 5, MultiPolygon: 6 } as const;
const PART_TYPES = { MultiPoint: 'Point', MultiLineString: 'LineString', MultiPolygon: 'Polygon' } as const;
const WGS_84 = 4326;
/** 'GP', version 0, flags: little endian with a box of four doubles (OGC 12-128r19, 2.1.3.1). */
const HEADER_BYTES = 8 + 32;
const FLAGS = 0b0000_0011;

/** Geometry -> GeoPackage binary: the GeoPackage header and well-known binary, little endian, two dimensions. */
export function geometryBytes(geometry: Geometry): Uint8Array<ArrayBuffer> {
  const view = new DataView(new ArrayBuffer(HEADER_BYTES + sizeOf(geometry)));
  view.setUint16(0, 0x4750);
  view.setUint8(3, FLAGS);
  view.setInt32(4, WGS_84, true);
  const [west, south, east, north] = boxOf(geometry);
  [west, east, south, north].forEach((edge, i) => {
    view.setFloat64(8 + 8 * i, edge, true);
  });
  write(view, HEADER_BYTES, geometry);
  return new Uint8Array(view.buffer);
}

/** The way back from `geometryBytes`. */
export function geometryFromBytes(bytes: Uint8Array): Geometry {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  return new Reader(view, HEADER_BYTES).geometry();
}

function partsOf(geometry: Geometry): readonly Geometry[] {
  switch (geometry.type) {
    case 'MultiPoint':
      return geometry.coordinates.map((coordinates) => ({ type: PART_TYPES[geometry.type], coordinates }));
    case 'MultiLineString':
      return geometry.coordinates.map((coordinates) => ({ type: PART_TYPES[geometry.type], coordinates }));
    case 'MultiPolygon':
      return geometry.coordinates.map((coordinates) => ({ type: PART_TYPES[geometry.type], coordinates }));
    default:
      return [];
  }
}

function sizeOf(geometry: Geometry): number {
  switch (geometry.type) {
    case 'Point':
      return 5 + 16;
    case 'LineString':
      return 9 + 16 * geometry.coordinates.length;
    case 'Polygon':
      return geometry.coordinates.reduce((sum, ring) => sum + 4 + 16 * ring.length, 9);
    default:
      return partsOf(geometry).reduce((sum, part) => sum + sizeOf(part), 9);
  }
}

/** Writes at `at` and returns where it ended. */
function write(view: DataView, at: number, geometry: Geometry): number {
  view.setUint8(at, 1);
  view.setUint32(at + 1, CODES[geometry.type], true);
  switch (geometry.type) {
    case 'Point':
      return writePosition(view, at + 5, geometry.coordinates);
    case 'LineString':
      return writeLine(view, at + 5, geometry.coordinates);
    case 'Polygon':
      view.setUint32(at + 5, geometry.coordinates.length, true);
      return geometry.coordinates.reduce((end, ring) => writeLine(view, end, ring), at + 9);
    default: {
      const parts = partsOf(geometry);
      view.setUint32(at + 5, parts.length, true);
      return parts.reduce((end, part) => write(view, end, part), at + 9);
    }
  }
}

function writeLine(view: DataView, at: number, line: readonly Position[]): number {
  view.setUint32(at, line.length, true);
  return line.reduce((end, position) => writePosition(view, end, position), at + 4);
}

function writePosition(view: DataView, at: number, [x, y]: Position): number {
  view.setFloat64(at, x, true);
  view.setFloat64(at + 8, y, true);
  return at + 16;
}

class Reader {
  readonly view: DataView;
  at: number;

  constructor(view: DataView, at: number) {
    this.view = view;
    this.at = at;
  }

  geometry(): Geometry {
    this.at += 1;
    const code = this.count();
    switch (code) {
      case CODES.Point:
        return { type: 'Point', coordinates: this.position() };
      case CODES.LineString:
        return { type: 'LineString', coordinates: this.list(() => this.position()) };
      case CODES.Polygon:
        return { type: 'Polygon', coordinates: this.list(() => this.list(() => this.position())) };
      case CODES.MultiPoint:
        return { type: 'MultiPoint', coordinates: this.list(() => this.part(() => this.position())) };
      case CODES.MultiLineString:
        return {
          type: 'MultiLineString',
          coordinates: this.list(() => this.part(() => this.list(() => this.position()))),
        };
      case CODES.MultiPolygon:
        return {
          type: 'MultiPolygon',
          coordinates: this.list(() => this.part(() => this.list(() => this.list(() => this.position())))),
        };
      default:
        throw new Error(`geometry code ${code} is none that was written here`);
    }
  }

  /** A part of a collection, past its own byte order and code. */
  part<Thing>(read: () => Thing): Thing {
    this.at += 5;
    return read();
  }

  count(): number {
    const value = this.view.getUint32(this.at, true);
    this.at += 4;
    return value;
  }

  list<Thing>(read: () => Thing): Thing[] {
    const count = this.count();
    return Array.from({ length: count }, read);
  }

  position(): Position {
    const position = [this.view.getFloat64(this.at, true), this.view.getFloat64(this.at + 8, true)];
    this.at += 16;
    return position;
  }
}
