import type { Polygon } from '#geo-core/model/position.ts';
import type { PlaneFeature, PlaneShape } from '#geo-core/model/site.ts';
import type { DrawnFeature } from '../drawing.ts';
import { SERIF_ITALIC } from '../faces.ts';
import { type Extent, extentOf } from './extent.ts';
import { labelPlace } from './label-place.ts';
import type { Material } from './material.ts';
import type { Pen } from './pen.ts';
import { isKind, type Sheet } from './sheet.ts';

const GROUND = ['building', 'paving', 'water', 'planting', 'road', 'tree', 'obstacle', 'keep-out', 'no-wire'] as const;
const CROSS_SPACING_M = 10;
const CROSSES_MAX = 400;
const SPOKES = 9;
const DISC_CORNERS = 48;
/** Room that one letter of a name takes when a site is seen whole, as a share of the site's longer side. */
const LETTER_SHARE = 0.009;

/** Everything that is not grass as washes with a drawn texture, on a survey grid of ten metres. */
export const projectSite: Sheet = {
  stage: '10-project-site',
  did: ({ outputs, figures, say }) => {
    const { plane, gridM } = outputs['10-project-site'];
    const lat = `${figures.decimals(Math.abs(plane.originLatDeg), 5)}° ${plane.originLatDeg < 0 ? 'S' : 'N'}`;
    const lon = `${figures.decimals(Math.abs(plane.originLonDeg), 5)}° ${plane.originLonDeg < 0 ? 'W' : 'E'}`;
    return say('did.measured', { lat, lon, grid: gridM * 1000, spacing: figures.roundLength(CROSS_SPACING_M) });
  },
  kinds: [],
  draw: (material) => {
    const { features } = material.outputs['10-project-site'];
    const extent = extentOf(features.flatMap(({ shape, radiusM }) => polygonsOf(shape, radiusM)));
    const letterM = LETTER_SHARE * Math.max(extent.east - extent.west, extent.north - extent.south);
    return [...features.flatMap((feature) => ground(feature, letterM, material)), ...crosses(extent, material.pen)];
  },
  layers: (ink) => [
    {
      depth: 'wash',
      layer: {
        id: 'ground-wash',
        type: 'fill',
        filter: ['in', ['get', 'kind'], ['literal', [...GROUND]]],
        paint: {
          'fill-color': [
            'match',
            ['get', 'kind'],
            'building',
            ink.building,
            'paving',
            ink.paving,
            'water',
            ink.water,
            ['planting', 'tree'],
            ink.planting,
            'road',
            ink.road,
            ink.keepOut,
          ],
          'fill-opacity': ['match', ['get', 'kind'], 'no-wire', 0.4, 1],
        },
      },
    },
    {
      depth: 'hatch',
      layer: {
        id: 'ground-texture',
        type: 'fill',
        filter: [
          'in',
          ['get', 'kind'],
          ['literal', ['building', 'paving', 'water', 'planting', 'obstacle', 'keep-out', 'no-wire']],
        ],
        paint: { 'fill-pattern': ['concat', 'fill-', ['get', 'kind']] },
      },
    },
    {
      depth: 'mark',
      layer: {
        id: 'ground-throw',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'sprinkler'],
        paint: { 'line-color': ink.soft, 'line-width': 1, 'line-dasharray': [1, 3] },
      },
    },
    {
      depth: 'mark',
      layer: {
        id: 'ground-crown',
        type: 'line',
        filter: ['==', ['get', 'kind'], 'crown'],
        layout: { 'line-cap': 'round' },
        paint: { 'line-color': ink.soft, 'line-width': 0.9 },
      },
    },
    {
      depth: 'mark',
      layer: {
        id: 'ground-cross',
        type: 'symbol',
        filter: ['==', ['get', 'kind'], 'grid-cross'],
        layout: {
          'icon-image': 'mark-cross',
          'icon-allow-overlap': true,
          'icon-ignore-placement': true,
          'icon-rotation-alignment': 'map',
        },
      },
    },
    {
      depth: 'note',
      layer: {
        id: 'ground-name',
        type: 'symbol',
        filter: ['==', ['get', 'kind'], 'name'],
        layout: {
          'text-field': ['get', 'label'],
          'text-font': [SERIF_ITALIC],
          'text-size': 14,
          'text-max-width': 8,
          'text-padding': 4,
          'text-anchor': ['case', ['get', 'fits'], 'center', 'left'],
          'text-offset': ['case', ['get', 'fits'], ['literal', [0, 0]], ['literal', [1, 0]]],
        },
        paint: { 'text-color': ink.line, 'text-halo-color': ink.paper, 'text-halo-width': 2 },
      },
    },
  ],
  key: [
    {
      label: 'key.building',
      shows: isKind('building'),
      swatch: { type: 'wash', wash: 'building', texture: 'fill-building' },
    },
    { label: 'key.paving', shows: isKind('paving'), swatch: { type: 'wash', wash: 'paving', texture: 'fill-paving' } },
    { label: 'key.water', shows: isKind('water'), swatch: { type: 'wash', wash: 'water', texture: 'fill-water' } },
    {
      label: 'key.planting',
      shows: isKind('planting'),
      swatch: { type: 'wash', wash: 'planting', texture: 'fill-planting' },
    },
    { label: 'key.tree', shows: isKind('crown'), swatch: { type: 'mark', mark: 'mark-crown' } },
    { label: 'key.road', shows: isKind('road'), swatch: { type: 'wash', wash: 'road', texture: null } },
    {
      label: 'key.noWire',
      shows: isKind('no-wire'),
      swatch: { type: 'wash', wash: 'keepOut', texture: 'fill-no-wire' },
    },
  ],
};

function ground(feature: PlaneFeature, letterM: number, { labels, outputs, pen }: Material): DrawnFeature[] {
  const { kind, pointer, shape, radiusM } = feature;
  const { plane } = outputs['10-project-site'];
  const polygons = polygonsOf(shape, radiusM);
  const [first] = polygons;
  if (first === undefined) return [];
  const drawn: DrawnFeature[] = [pen.areas(polygons, { kind, pointer })];
  if (kind === 'tree' && radiusM !== undefined) {
    for (const polygon of polygons)
      drawn.push(pen.strokes(spokes(labelPlace(polygon, plane).inside, radiusM), { kind: 'crown' }));
  }
  const label = labels.get(pointer);
  if (label !== undefined && kind !== 'lawn' && kind !== 'parcel') {
    const { inside, roomM, beside } = labelPlace(first, plane);
    const fits = roomM > label.length * letterM;
    drawn.push(pen.point(fits ? inside : beside, { kind: 'name', label, fits }));
  }
  return drawn;
}

function polygonsOf(shape: PlaneShape, radiusM: number | undefined): readonly Polygon[] {
  if (shape.type === 'area') return shape.polygons;
  if (shape.type === 'line' || radiusM === undefined) return [];
  return shape.points.map(({ x, y }) => {
    const outer = new Float64Array(2 * DISC_CORNERS);
    for (let corner = 0; corner < DISC_CORNERS; corner++) {
      const angle = (corner / DISC_CORNERS) * 2 * Math.PI;
      outer[2 * corner] = x + radiusM * Math.cos(angle);
      outer[2 * corner + 1] = y + radiusM * Math.sin(angle);
    }
    return { outer, holes: [] };
  });
}

/** The spokes of a tree as a draughtsman draws it from above. */
function spokes({ x, y }: { x: number; y: number }, radiusM: number): Float64Array[] {
  return Array.from({ length: SPOKES }, (_, spoke) => {
    const angle = (spoke / SPOKES) * 2 * Math.PI;
    const inner = radiusM * (spoke % 2 === 0 ? 0.12 : 0.4);
    const outer = radiusM * (spoke % 3 === 0 ? 0.98 : 0.8);
    return Float64Array.of(
      x + inner * Math.cos(angle),
      y + inner * Math.sin(angle),
      x + outer * Math.cos(angle),
      y + outer * Math.sin(angle),
    );
  });
}

/** Survey crosses over the extent of the site; none where they would be too many to read. */
function crosses({ west, south, east, north }: Extent, pen: Pen): DrawnFeature[] {
  const columns = Math.floor(east / CROSS_SPACING_M) - Math.ceil(west / CROSS_SPACING_M) + 1;
  const rows = Math.floor(north / CROSS_SPACING_M) - Math.ceil(south / CROSS_SPACING_M) + 1;
  if (!(columns * rows > 0 && columns * rows <= CROSSES_MAX)) return [];
  const drawn: DrawnFeature[] = [];
  for (let x = Math.ceil(west / CROSS_SPACING_M) * CROSS_SPACING_M; x <= east; x += CROSS_SPACING_M) {
    for (let y = Math.ceil(south / CROSS_SPACING_M) * CROSS_SPACING_M; y <= north; y += CROSS_SPACING_M) {
      drawn.push(pen.point({ x, y }, { kind: 'grid-cross' }));
    }
  }
  return drawn;
}
