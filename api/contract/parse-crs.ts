import { type Crs, crsByEpsg } from '#geo-core/index.ts';

/** A coordinate system as a request names it, with the order in which the request's coordinates come. */
export type NamedCrs = {
  readonly crs: Crs;
  /** Under the URI of the authority, the axes come in the authority's order; under a short name, east (longitude) first. */
  readonly axisOrder: 'east-north' | 'north-east';
  /** How answers name it. */
  readonly name: string;
};

const SHORT = /^(?:EPSG:)?(\d{4,6})$/i;
const URI = /^(?:https?:\/\/www\.opengis\.net\/def\/crs\/EPSG\/[^/]*\/|urn:ogc:def:crs:EPSG:[^:]*:)(\d{4,6})$/i;
const CRS84 =
  /^(?:(?:OGC:)?CRS84h?|https?:\/\/www\.opengis\.net\/def\/crs\/OGC\/[^/]*\/CRS84h?|urn:ogc:def:crs:OGC:[^:]*:CRS84h?)$/i;

export const CRS84_URI = 'http://www.opengis.net/def/crs/OGC/1.3/CRS84';

/**
 * `EPSG:28992`, `28992`, `CRS84`, an OGC URI or URN, with or without the angle brackets of a header -> the system, or undefined
 * where it is none that this service knows.
 */
export function parseCrs(text: string): NamedCrs | undefined {
  const bare = text.trim().replace(/^<(.*)>$/, '$1');
  if (CRS84.test(bare)) return named(4326, 'east-north', CRS84_URI);
  const short = SHORT.exec(bare);
  if (short !== null) return named(Number(short[1]), 'east-north', `EPSG:${short[1]}`);
  const uri = URI.exec(bare);
  if (uri === null) return undefined;
  const epsg = Number(uri[1]);
  return named(epsg, crsByEpsg(epsg)?.axisOrder ?? 'east-north', `http://www.opengis.net/def/crs/EPSG/0/${epsg}`);
}

function named(epsg: number, axisOrder: NamedCrs['axisOrder'], name: string): NamedCrs | undefined {
  const crs = crsByEpsg(epsg);
  return crs === undefined ? undefined : { crs, axisOrder, name };
}

/** What to send instead of a system that is not known. */
export const CRS_REMEDY =
  'give EPSG:<code> of a system this service knows (4326, 4258, 3857, 28992, 31370, 2154, 27700, 2056, UTM zones 326xx, 327xx, 258xx and others), or reproject to WGS 84';
