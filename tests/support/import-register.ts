import { mkdirSync, readFileSync, writeFileSync } from 'node:fs';
import { bboxClip } from '@turf/turf';
import type { Feature, FeatureCollection, Geometry, LineString, Polygon, Position } from 'geojson';
import { pointSegmentM } from '#geo-core/plane/segment.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { REGISTER_PLACES, type RegisterPlace, type RegisterSite, siteKindOf, stretchOf } from './register-places.ts';

/**
 * Turns open survey data (a register's own kinds) into sites (our kinds):
 * `npx tsx tests/support/import-register.ts [folder of the data]` writes fixtures/sites/real/.
 *
 * A site is one lawn polygon (or one parcel with its buildings) and whatever of the register lies within NEAR_M of it,
 * big neighbours clipped. Walls, fences, hedges and quays become `edge` features: the stretches of the lawn's boundary
 * that run within ALONG_M of one. What the register does not say (radius of a trunk, height of a post) is assumed, and
 * marked `assumed: true`.
 */
const SOURCE = new URL(`file://${process.argv[2] ?? '/work/shared/data'}/`);
const FOLDER = new URL('../../fixtures/sites/real/', import.meta.url);
const NEAR_M = 2;
const ALONG_M = 0.5;
const PIECE_M = 0.5;
const CLIP_MARGIN_M = 10;

type Register = FeatureCollection<Geometry, Readonly<Record<string, unknown>>>;
type RegisterFeature = Register['features'][number];
type SiteFeature = { readonly type: 'Feature'; readonly properties: object; readonly geometry: Geometry };
type Flat = readonly { readonly x: number; readonly y: number }[];

importRegister();

function importRegister(): void {
  mkdirSync(FOLDER, { recursive: true });
  const index = REGISTER_PLACES.flatMap((place) => {
    const around = readRegister(place, 'neighbourhood.geojson');
    const lawns = readRegister(place, 'lawns-derived.geojson');
    const marks = place.edges === undefined ? [] : readRegister(place, place.edges).features;
    for (const [from, to] of place.copies)
      writeFileSync(new URL(to, FOLDER), readFileSync(new URL(`${place.folder}/${from}`, SOURCE)));
    return place.sites.map((site) => {
      const subject = site.parcel === undefined ? lawns.features[site.lawn] : around.features[site.parcel];
      const features = siteFeatures(site, subject, [...around.features, ...marks]);
      writeFileSync(new URL(site.file, FOLDER), siteText(place, site, features));
      const { file, title, about } = site;
      return { file, title, about, ...(place.elevation === undefined ? {} : { elevation: place.elevation }) };
    });
  });
  writeFileSync(new URL('index.json', FOLDER), `${JSON.stringify(index, null, 2)}\n`);
}

function readRegister(place: RegisterPlace, file: string): Register {
  return JSON.parse(readFileSync(new URL(`${place.folder}/${file}`, SOURCE), 'utf8')) as Register;
}

function siteFeatures(
  site: RegisterSite,
  subject: RegisterFeature,
  candidates: readonly RegisterFeature[],
): SiteFeature[] {
  if (subject.geometry.type !== 'Polygon') throw new Error(`${site.file}: expected a polygon`);
  const [originLonDeg, originLatDeg] = subject.geometry.coordinates[0][0];
  const projection = localPlaneProjection({ originLonDeg, originLatDeg });
  const flat = (line: readonly Position[]): Flat => line.map(([lon, lat]) => projection.toPlane(lon, lat));
  const boundary = subject.geometry.coordinates.map(flat);
  const box = boundsOf(boundary.flat());
  const features: SiteFeature[] = [
    {
      type: 'Feature',
      properties: { kind: site.parcel === undefined ? 'lawn' : 'parcel' },
      geometry: subject.geometry,
    },
  ];
  for (const feature of candidates) {
    if (feature === subject || (feature.properties.level ?? 0) !== 0) continue;
    const parts = linesOf(feature.geometry).map(flat);
    if (!boundsOf(parts.flat()).meets(box, NEAR_M)) continue;
    const beyond = stretchOf(feature.properties);
    if (beyond !== undefined) {
      for (const stretch of stretchesAlong(boundary, parts))
        features.push({
          type: 'Feature',
          properties: { kind: 'edge', beyond, source: feature.properties.kind },
          geometry: {
            type: 'LineString',
            coordinates: stretch.map(({ x, y }) => roundedPosition(projection.toLonLat(x, y))),
          },
        });
      continue;
    }
    const kind = siteKindOf(feature.properties);
    if (kind === undefined || (kind.properties.kind === 'parcel' && site.parcel === undefined)) continue;
    if (kind.properties.kind === 'parcel' || !isNear(boundary, parts)) continue;
    const [west, south] = projection.toLonLat(box.minX - CLIP_MARGIN_M, box.minY - CLIP_MARGIN_M);
    const [east, north] = projection.toLonLat(box.maxX + CLIP_MARGIN_M, box.maxY + CLIP_MARGIN_M);
    const geometry = clipped(feature.geometry, [west, south, east, north]);
    if (geometry !== undefined)
      features.push({ type: 'Feature', properties: { ...kind.properties, source: feature.properties.kind }, geometry });
  }
  return features;
}

function clipped(geometry: Geometry, box: [number, number, number, number]): Geometry | undefined {
  if (geometry.type !== 'Polygon' && geometry.type !== 'MultiPolygon') return geometry;
  const cut: Feature = bboxClip(geometry, box);
  if (cut.geometry.type !== 'Polygon' && cut.geometry.type !== 'MultiPolygon') return undefined;
  const polygons: Polygon['coordinates'][] =
    cut.geometry.type === 'Polygon' ? [cut.geometry.coordinates] : cut.geometry.coordinates;
  const kept = polygons
    .map((rings) => rings.filter((ring) => ring.length >= 4).map((ring) => ring.map(roundedPosition)))
    .filter((rings) => rings.length > 0);
  if (kept.length === 0) return undefined;
  return kept.length === 1 ? { type: 'Polygon', coordinates: kept[0] } : { type: 'MultiPolygon', coordinates: kept };
}

/** The stretches of the boundary rings that run along the given lines. */
function stretchesAlong(boundary: readonly Flat[], lines: readonly Flat[]): Flat[] {
  return boundary.flatMap((ring) => {
    const stretches: { x: number; y: number }[][] = [];
    let open: { x: number; y: number }[] | undefined;
    for (let i = 0; i + 1 < ring.length; i++) {
      const [a, b] = [ring[i], ring[i + 1]];
      const pieces = Math.max(1, Math.ceil(Math.sqrt((b.x - a.x) ** 2 + (b.y - a.y) ** 2) / PIECE_M));
      for (let k = 0; k < pieces; k++) {
        const at = (t: number) => ({ x: a.x + (b.x - a.x) * t, y: a.y + (b.y - a.y) * t });
        const middle = at((k + 0.5) / pieces);
        if (distanceToLinesM(middle, lines) > ALONG_M) {
          open = undefined;
          continue;
        }
        if (open === undefined) {
          open = [at(k / pieces)];
          stretches.push(open);
        } else if (k > 0) open.pop();
        open.push(at((k + 1) / pieces));
      }
    }
    return stretches.filter((stretch) => lengthM(stretch) > 2 * PIECE_M);
  });
}

function isNear(boundary: readonly Flat[], parts: readonly Flat[]): boolean {
  return (
    parts.some((part) => part.some((point) => distanceToLinesM(point, boundary) <= NEAR_M || holds(boundary, point))) ||
    boundary.some((ring) => ring.some((point) => distanceToLinesM(point, parts) <= NEAR_M))
  );
}

function holds(rings: readonly Flat[], { x, y }: Flat[number]): boolean {
  let inside = false;
  for (const ring of rings)
    for (let i = 0; i + 1 < ring.length; i++) {
      const [a, b] = [ring[i], ring[i + 1]];
      if (a.y > y !== b.y > y && x < ((b.x - a.x) * (y - a.y)) / (b.y - a.y) + a.x) inside = !inside;
    }
  return inside;
}

function distanceToLinesM(point: Flat[number], lines: readonly Flat[]): number {
  let least = Number.POSITIVE_INFINITY;
  for (const line of lines)
    for (let i = 0; i + 1 < line.length; i++)
      least = Math.min(least, pointSegmentM(point.x, point.y, line[i].x, line[i].y, line[i + 1].x, line[i + 1].y));
  return least;
}

function lengthM(line: Flat): number {
  return line.slice(1).reduce((sum, { x, y }, i) => sum + Math.sqrt((x - line[i].x) ** 2 + (y - line[i].y) ** 2), 0);
}

function boundsOf(points: Flat) {
  const xs = points.map(({ x }) => x);
  const ys = points.map(({ y }) => y);
  const own = { minX: Math.min(...xs), minY: Math.min(...ys), maxX: Math.max(...xs), maxY: Math.max(...ys) };
  return {
    ...own,
    meets: (other: typeof own, marginM: number) =>
      own.minX <= other.maxX + marginM &&
      other.minX <= own.maxX + marginM &&
      own.minY <= other.maxY + marginM &&
      other.minY <= own.maxY + marginM,
  };
}

function linesOf(geometry: Geometry): readonly (readonly Position[])[] {
  switch (geometry.type) {
    case 'Point':
      return [[geometry.coordinates]];
    case 'LineString':
      return [geometry.coordinates] satisfies LineString['coordinates'][];
    case 'Polygon':
      return geometry.coordinates;
    case 'MultiPolygon':
      return geometry.coordinates.flat();
    default:
      throw new Error(`the registers hold no ${geometry.type}`);
  }
}

function roundedPosition(position: readonly number[]): number[] {
  return position.map((degrees) => Number(degrees.toFixed(8)));
}

/** Indented JSON with every position on one line. */
function siteText(place: RegisterPlace, site: RegisterSite, features: readonly SiteFeature[]): string {
  const collection = {
    type: 'FeatureCollection',
    id: site.file.replace(/\.geojson$/, ''),
    name: site.title,
    about: site.about,
    attribution: place.attribution,
    licence: place.licence,
    features,
  };
  return `${JSON.stringify(collection, null, 1).replace(/\[\s+(-?[\d.]+),\s+(-?[\d.]+)\s+\]/g, '[$1, $2]')}\n`;
}
