import type { Beyond, SiteKind } from '#geo-core/model/site.ts';

/** What of which open register becomes a site. `lawn` and `parcel` are positions in the register's files. */
export type RegisterSite = { readonly file: string; readonly title: string; readonly about: string } & (
  | { readonly lawn: number; readonly parcel?: undefined }
  | { readonly parcel: number }
);
export type RegisterPlace = {
  readonly folder: string;
  readonly attribution: string;
  readonly licence: string;
  readonly edges?: string;
  readonly elevation?: string;
  /** Files taken as they are. */
  readonly copies: readonly (readonly [from: string, to: string])[];
  readonly sites: readonly RegisterSite[];
};

const lawnCopies = (place: string): RegisterPlace['copies'] => [
  ['lawns-derived.geojson', `lawns-${place}.geojson`],
  ['lawns-derived-geodesic.csv', `lawns-${place}-geodesic.csv`],
];

export const REGISTER_PLACES: readonly RegisterPlace[] = [
  {
    folder: 'nl-delft-bgt-ahn3',
    attribution: 'BGT, Kadaster / PDOK; AHN3, Rijkswaterstaat and water boards',
    licence: 'CC0-1.0',
    elevation: 'delft-ground.tif',
    copies: [...lawnCopies('delft'), ['dtm-0.5m.tif', 'delft-ground.tif']],
    sites: [
      {
        file: 'delft-round-lawn.geojson',
        title: 'Delft: round lawn on a mound',
        about: 'A round walled lawn with a bare patch in it, lidar ground under it.',
        lawn: 42,
      },
      {
        file: 'delft-canal-side.geojson',
        title: 'Delft: grass by the canal',
        about: 'Grass between paths, a bridge and the canal.',
        lawn: 50,
      },
      {
        file: 'delft-court-with-sheds.geojson',
        title: 'Delft: court with sheds',
        about: 'A yard between terraced houses with sheds standing in it.',
        lawn: 2,
      },
      { file: 'delft-walled-yard.geojson', title: 'Delft: walled yard', about: 'A yard with garden walls.', lawn: 14 },
      { file: 'delft-corner-yard.geojson', title: 'Delft: corner yard', about: 'A small yard at a corner.', lawn: 17 },
    ],
  },
  {
    folder: 'fr-luxiol-cadastre',
    attribution: 'Plan cadastral informatisé, DGFiP, commune of Luxiol, sheets of 2014 to 2019',
    licence: 'Licence Ouverte / Open Licence 2.0 (Etalab)',
    edges: 'edges-derived.geojson',
    copies: lawnCopies('luxiol'),
    sites: [
      {
        file: 'luxiol-hedges-and-fences.geojson',
        title: 'Luxiol: hedges, fences and a wall',
        about: 'A large parcel with one house and three kinds of boundary.',
        parcel: 53,
      },
      {
        file: 'luxiol-fenced-garden.geojson',
        title: 'Luxiol: fenced garden',
        about: 'A house in the middle of its parcel, fences and walls around.',
        parcel: 101,
      },
      {
        file: 'luxiol-house-and-barns.geojson',
        title: 'Luxiol: house and barns',
        about: 'Three buildings on a village parcel, fence and hedge.',
        parcel: 29,
      },
      {
        file: 'luxiol-garden-with-pool.geojson',
        title: 'Luxiol: garden with a pool',
        about: 'Walls on most sides and a swimming pool.',
        parcel: 71,
      },
      {
        file: 'luxiol-village-plot.geojson',
        title: 'Luxiol: village plot',
        about: 'Five buildings on an awkward parcel with walls and fences.',
        parcel: 41,
      },
    ],
  },
  {
    folder: 'nl-otterlo-bgt',
    attribution: 'BGT and BRK, Kadaster / PDOK',
    licence: 'CC0-1.0',
    copies: lawnCopies('otterlo'),
    sites: [
      {
        file: 'otterlo-fenced-yard.geojson',
        title: 'Otterlo: fenced yard',
        about: 'A yard with three houses, fences and a hedge.',
        lawn: 67,
      },
      {
        file: 'otterlo-yard-with-walls.geojson',
        title: 'Otterlo: yard with walls',
        about: 'Two houses, low walls along the drive.',
        lawn: 25,
      },
      {
        file: 'otterlo-yard-with-trees.geojson',
        title: 'Otterlo: yard with trees',
        about: 'A yard with seven buildings and trees.',
        lawn: 32,
      },
      {
        file: 'otterlo-green-with-trees.geojson',
        title: 'Otterlo: green with trees',
        about: 'A public green with surveyed trees.',
        lawn: 174,
      },
      {
        file: 'otterlo-yard-by-the-ditch.geojson',
        title: 'Otterlo: yard by the ditch',
        about: 'A yard with a planted bank and ditches around.',
        lawn: 17,
      },
    ],
  },
];

type RegisterProperties = Readonly<Record<string, unknown>>;
type SiteProperties = { readonly kind: SiteKind } & Readonly<Record<string, unknown>>;

const AREA_KINDS: Readonly<Record<string, SiteKind>> = {
  parcel: 'parcel',
  building: 'building',
  'building-part': 'building',
  structure: 'building',
  water: 'water',
  basin: 'water',
  pond: 'water',
  pool: 'water',
  planting: 'planting',
  wood: 'planting',
  'other-vegetation': 'planting',
  road: 'road',
  path: 'paving',
  driveway: 'paving',
  paved: 'paving',
  'verge-paved': 'paving',
  gravel: 'paving',
};

/** What a register's point stands for; its size is assumed (from memory, no source). */
const POINT_KINDS: Readonly<Record<string, SiteProperties>> = {
  tree: { kind: 'tree', radius: 0.3, assumed: true },
  post: { kind: 'obstacle', radius: 0.1, height: 3, rigid: true, assumed: true },
  furniture: { kind: 'obstacle', radius: 0.5, height: 1, rigid: true, assumed: true },
  cabinet: { kind: 'obstacle', radius: 0.4, height: 1, rigid: true, assumed: true },
};

const STRETCHES: Readonly<Record<string, Beyond>> = {
  wall: 'wall',
  fence: 'fence',
  'wire-fence': 'fence',
  barrier: 'fence',
  hedge: 'hedge',
  revetment: 'drop',
};

/** Our properties for a register's object, or undefined for what plays no part (drains, markers, other lawns). */
export function siteKindOf(properties: RegisterProperties): { readonly properties: SiteProperties } | undefined {
  const name = String(properties.kind);
  const point = POINT_KINDS[name];
  if (point !== undefined) return { properties: point };
  const kind = AREA_KINDS[name];
  if (kind === undefined) return undefined;
  const heightM = properties.height;
  return { properties: typeof heightM === 'number' ? { kind, height: heightM } : { kind } };
}

/** What lies beyond a lawn edge that runs along this object, or undefined for anything but walls, fences, hedges and quays. */
export function stretchOf(properties: RegisterProperties): Beyond | undefined {
  return STRETCHES[properties.kind === 'edge' ? String(properties.sub) : String(properties.kind)];
}
