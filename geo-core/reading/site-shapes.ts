import type { LonLatShape, SiteKind } from '#geo-core/model/site.ts';

type ShapeType = LonLatShape['type'];

type KindReading = {
  /** The shapes a feature of this kind can have. */
  readonly shapes: readonly ShapeType[];
  /** The same in words, for findings. */
  readonly inWords: string;
  /** A point of this kind is a disc: radius taken where none is given, metres. Common practice, no source. */
  readonly assumedRadiusM?: number;
  /** A line of this kind is a strip: width taken where none is given, metres (common practice, no source); null = it must be given. */
  readonly assumedWidthM?: number | null;
};

const AREA: KindReading = { shapes: ['area'], inWords: 'a Polygon' };
const POINT: KindReading = { shapes: ['point'], inWords: 'a Point' };
const disc = (assumedRadiusM: number): KindReading => ({
  shapes: ['area', 'point'],
  inWords: 'a Polygon, or a Point with radius',
  assumedRadiusM,
});

const strip = (assumedWidthM: number | null): KindReading => ({
  shapes: ['area', 'line'],
  inWords: 'a Polygon, or a LineString with width',
  assumedWidthM,
});

/** What geometry each kind of feature has, and what is assumed where a needed size is missing. */
export const SITE_SHAPES: Readonly<Record<SiteKind, KindReading>> = {
  parcel: AREA,
  lawn: AREA,
  building: AREA,
  paving: strip(1.2),
  water: strip(null),
  planting: { ...disc(0.5), ...strip(null), shapes: ['area', 'line', 'point'] },
  tree: disc(0.3),
  obstacle: { ...disc(0.3), ...strip(0.1), shapes: ['area', 'line', 'point'] },
  'keep-out': disc(0.5),
  'no-wire': { ...disc(0.5), ...strip(1), shapes: ['area', 'line', 'point'] },
  edge: { shapes: ['line'], inWords: 'a LineString along the edge of the lawn' },
  crossing: strip(1.2),
  road: strip(4),
  outlet: POINT,
  sprinkler: { ...POINT, assumedRadiusM: 5 },
  station: POINT,
};
