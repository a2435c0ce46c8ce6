/* Long because it is one estate, drawn garden by garden. */
import { blob, box, type DrawnFeature, disc, type Pen, type Plot, type Spot } from './estate-pen.ts';

/**
 * The dozen gardens of Quillbrook Rise, an invented housing estate: data, hence longer than a file of code may be.
 * Every garden is drawn in its own frame (u along the front, v away from the street), in metres.
 */
export type Garden = {
  readonly file: string;
  readonly title: string;
  readonly about: string;
  readonly plot: Plot;
  readonly widthM: number;
  /** Members beside the features: rules, prices, quiet hours. */
  readonly members?: Readonly<Record<string, unknown>>;
  readonly elevation?: {
    readonly file: string;
    readonly heightM: (u: number, v: number) => number;
    readonly depthM: number;
  };
  readonly draw: (pen: Pen) => readonly DrawnFeature[];
};

const SOUTH = 180;
const EAST_END = -90;
const plotAt = (x: number, y: number, turnDeg = 0): Plot => ({ x, y, turnDeg });

/** Footway and carriageway before a plot. */
function street(pen: Pen, widthM: number): DrawnFeature[] {
  return [
    pen.area('paving', box(0, -1.5, widthM, 0), { note: 'footway' }),
    pen.area('road', box(0, -10.5, widthM, -1.5)),
  ];
}

const edge = (pen: Pen, beyond: string, ...line: Spot[]): DrawnFeature => pen.line('edge', line, { beyond });

export const GARDENS: readonly Garden[] = [
  {
    file: 'corner-house-with-pond.geojson',
    title: 'Corner house with pond',
    about:
      'L-shaped lawn round the house; a pond and a pear tree stand in the grass; hedge, fence, terrace and bed along it.',
    plot: plotAt(0, 6),
    widthM: 26,
    members: { quiet: [{ days: [7], from: '00:00', to: '24:00' }] },
    draw: (pen) => [
      pen.area('parcel', box(0, 0, 26, 32)),
      pen.area('lawn', [
        [1, 1],
        [7, 1],
        [7, 20],
        [25, 20],
        [25, 31],
        [1, 31],
      ]),
      pen.area('building', box(8.5, 8, 19, 17)),
      pen.area('paving', box(7, 1, 8.5, 20), { note: 'garden path' }),
      pen.area('paving', box(8.5, 17, 19, 20), { note: 'terrace' }),
      pen.area('planting', box(19, 17, 25, 20)),
      pen.area('planting', box(1, 0, 7, 1)),
      pen.area('water', blob([17.5, 26], 2.1, 0.12), { note: 'pond' }),
      pen.spot('tree', [4, 25.5], { radius: 0.35 }),
      edge(pen, 'hedge', [1, 1], [1, 31], [13, 31]),
      edge(pen, 'fence', [13, 31], [25, 31], [25, 20]),
      pen.spot('outlet', [9.5, 17]),
      ...street(pen, 26),
    ],
  },
  {
    file: 'three-lawns-and-their-necks.geojson',
    title: 'Three lawns and their necks',
    about:
      'A 4 m gap that is mown through, a 1.2 m strip beside the house that is only driven, a 0.6 m neck that is too narrow.',
    plot: plotAt(26, 6),
    widthM: 30,
    draw: (pen) => [
      pen.area('parcel', box(0, 0, 30, 36)),
      pen.area('lawn', [
        [1, 1],
        [13, 1],
        [13, 9],
        [2.2, 9],
        [2.2, 20],
        [15, 20],
        [15, 25],
        [18, 25],
        [18, 20],
        [24, 20],
        [24, 16],
        [20, 16],
        [20, 9],
        [28.5, 9],
        [28.5, 16],
        [24.6, 16],
        [24.6, 20],
        [29, 20],
        [29, 35],
        [18, 35],
        [18, 29],
        [15, 29],
        [15, 35],
        [1, 35],
      ]),
      pen.area('building', box(3.4, 10.2, 16, 18.5)),
      pen.area(
        'paving',
        [
          [2.2, 9],
          [13, 9],
          [13, 10.2],
          [3.4, 10.2],
          [3.4, 18.5],
          [16, 18.5],
          [16, 20],
          [2.2, 20],
        ],
        { note: 'path round the house' },
      ),
      pen.area('paving', box(14, 0, 19, 9), { note: 'drive' }),
      pen.area('planting', box(15, 20, 18, 25)),
      pen.area('planting', box(15, 29, 18, 35)),
      edge(pen, 'open-ground', [1, 1], [1, 35], [15, 35]),
      edge(pen, 'fence', [18, 35], [29, 35], [29, 20]),
      edge(pen, 'level-paving', [28.5, 16], [24.6, 16], [24.6, 20]),
      pen.spot('outlet', [16, 17.5]),
      ...street(pen, 30),
    ],
  },
  {
    file: 'house-with-lawn-on-three-sides.geojson',
    title: 'House with a lawn on three sides',
    about: 'A U of grass with nearly every kind of edge, a trampoline, a kerb stone and a statue in it.',
    plot: plotAt(56, 6),
    widthM: 28,
    draw: (pen) => [
      pen.area('parcel', box(0, 0, 28, 34)),
      pen.area('lawn', [
        [1, 6],
        [8, 6],
        [8, 22],
        [20, 22],
        [20, 6],
        [27, 6],
        [27, 33],
        [1, 33],
      ]),
      pen.area('building', box(9, 8, 19, 20)),
      pen.area(
        'paving',
        [
          [8, 6],
          [9, 6],
          [9, 20],
          [19, 20],
          [19, 6],
          [20, 6],
          [20, 22],
          [8, 22],
        ],
        { note: 'path and terrace' },
      ),
      pen.area('planting', box(1, 4.5, 8, 6)),
      edge(pen, 'wall', [1, 6], [1, 33]),
      edge(pen, 'hedge', [1, 33], [15, 33]),
      edge(pen, 'fence', [15, 33], [27, 33]),
      edge(pen, 'step-up', [27, 33], [27, 20]),
      edge(pen, 'step-down', [27, 20], [27, 6]),
      edge(pen, 'drop', [20, 6], [27, 6]),
      pen.area('keep-out', disc([14, 28], 1.8), { note: 'trampoline' }),
      pen.area('obstacle', box(3.8, 26, 4.3, 27.2), { height: 0.06, rigid: true, note: 'kerb stone' }),
      pen.area('obstacle', disc([23.5, 27.5], 0.4, 12), { height: 1.6, rigid: true, note: 'statue' }),
      pen.spot('outlet', [12, 20]),
      ...street(pen, 28),
    ],
  },
  {
    file: 'front-lawn-on-its-own.geojson',
    title: 'Front lawn on its own',
    about: 'House, drive and paving cut the front lawn off: it gets its own signal, or is carried to.',
    plot: plotAt(84, 6),
    widthM: 24,
    draw: (pen) => [
      pen.area('parcel', box(0, 0, 24, 34)),
      pen.area('lawn', box(1, 1.2, 15, 7.5), { name: 'front' }),
      pen.area('lawn', blob([12, 26], 7.4, 0.1, 48), { name: 'back' }),
      pen.area('building', box(1.5, 9, 17, 18)),
      pen.area(
        'paving',
        [
          [1, 7.5],
          [15, 7.5],
          [15, 0],
          [21, 0],
          [21, 18],
          [17, 18],
          [17, 9],
          [1, 9],
        ],
        { note: 'drive' },
      ),
      pen.area('planting', [...box(0, 18, 24, 34)], { note: 'beds' }, [blob([12, 26], 7.4, 0.1, 48)]),
      edge(pen, 'hedge', [1, 1.2], [15, 1.2]),
      pen.spot('outlet', [8, 18]),
      ...street(pen, 24),
    ],
  },
  {
    file: 'terraced-house-with-garden-path.geojson',
    title: 'Terraced house with a garden path',
    about: 'The smallest garden: two lawns, and a paved strip between them that the machine may drive over.',
    plot: plotAt(108, 6),
    widthM: 12,
    members: { rules: 'small-lawn', quiet: [{ days: [1, 2, 3, 4, 5], from: '13:00', to: '15:00' }] },
    draw: (pen) => [
      pen.area('parcel', box(0, 0, 12, 32)),
      pen.area('building', box(0, 3, 12, 13)),
      pen.area('paving', box(0, 13, 12, 16), { note: 'terrace' }),
      pen.area('lawn', box(0.8, 16, 11.2, 22.4)),
      pen.area('paving', box(0.8, 22.4, 11.2, 23.6), { note: 'garden path' }),
      pen.area('crossing', box(4, 22.4, 8, 23.6)),
      pen.area('lawn', box(0.8, 23.6, 11.2, 31)),
      edge(pen, 'fence', [0.8, 16], [0.8, 31]),
      edge(pen, 'fence', [11.2, 16], [11.2, 31]),
      edge(pen, 'step-up', [0.8, 31], [11.2, 31]),
      pen.area('planting', box(0, 31, 12, 32), { note: 'raised bed' }),
      pen.spot('outlet', [6, 13]),
      ...street(pen, 12),
    ],
  },
  {
    file: 'lawn-on-a-gentle-slope.geojson',
    title: 'Lawn on a gentle slope',
    about: 'Four percent down to the street with a mound in the middle; heights come as a grid.',
    plot: plotAt(26, -6, SOUTH),
    widthM: 26,
    elevation: { file: 'elevation/gentle-slope.asc', depthM: 36, heightM: gentleHeightM },
    draw: (pen) => [
      pen.area('parcel', box(0, 0, 26, 36)),
      pen.area('lawn', [
        [1, 18],
        [25, 18],
        [25, 27],
        [22, 35],
        [4, 35],
        [1, 27],
      ]),
      pen.area('building', box(6, 5, 18, 15)),
      pen.area('paving', box(4, 15, 20, 18), { note: 'terrace' }),
      pen.area('paving', box(19, 0, 24, 15), { note: 'drive' }),
      pen.spot('tree', [7, 29], { radius: 0.25 }),
      pen.spot('tree', [18, 30.5], { radius: 0.3 }),
      edge(pen, 'hedge', [25, 18], [25, 27], [22, 35]),
      edge(pen, 'fence', [4, 35], [1, 27], [1, 18]),
      pen.spot('outlet', [8, 15]),
      ...street(pen, 26),
    ],
  },
  {
    file: 'house-above-a-steep-bank.geojson',
    title: 'House above a steep bank',
    about: 'Two level lawns with a bank of 45 percent between them, too steep for the machine; heights come as a grid.',
    plot: plotAt(54, -6, SOUTH),
    widthM: 28,
    elevation: { file: 'elevation/steep-bank.asc', depthM: 40, heightM: steepHeightM },
    draw: (pen) => [
      pen.area('parcel', box(0, 0, 28, 40)),
      pen.area('lawn', box(1, 15, 27, 39)),
      pen.area('building', box(6, 3, 20, 12)),
      pen.area('paving', box(4, 12, 22, 15), { note: 'terrace' }),
      edge(pen, 'drop', [27, 24], [27, 39], [16, 39]),
      edge(pen, 'wall', [1, 39], [1, 15]),
      pen.spot('outlet', [10, 12]),
      ...street(pen, 28),
    ],
  },
  {
    file: 'parcel-and-house-only.geojson',
    title: 'Parcel and house only',
    about: 'All that a land register tells: the lawn is derived, and the plan says so.',
    plot: plotAt(79, -6, SOUTH),
    widthM: 25,
    draw: (pen) => [
      pen.area('parcel', [
        [0, 0],
        [25, 0],
        [25, 33],
        [11, 36],
        [0, 35],
      ]),
      pen.area('building', [
        [5, 6],
        [16, 6],
        [16, 12],
        [13, 12],
        [13, 16],
        [5, 16],
      ]),
      pen.area('building', box(19, 5, 23, 11), { note: 'garage' }),
    ],
  },
  {
    file: 'garden-of-traps.geojson',
    title: 'Garden of traps',
    about:
      'Grass right up to the road; a tree by the fence becomes a bay, two trees share a loop; a drain field where nothing may be pegged, a sprinkler, a dead-end finger of grass.',
    plot: plotAt(107, -6, SOUTH),
    widthM: 28,
    draw: (pen) => [
      pen.area('parcel', box(0, 0, 28, 38)),
      pen.area('road', box(0, -10.5, 28, 0)),
      pen.area('lawn', [
        [0.5, 0],
        [8, 0],
        [8, 18],
        [22, 18],
        [22, 22],
        [26.5, 22],
        [26.5, 12],
        [27.3, 12],
        [27.3, 37],
        [0.5, 37],
      ]),
      pen.area('building', box(9, 5, 21, 16)),
      pen.area('paving', box(8, 16, 22, 18), { note: 'terrace' }),
      pen.area('paving', box(8, 0, 13, 5), { note: 'drive' }),
      edge(pen, 'fence', [0.5, 0], [0.5, 37], [27.3, 37]),
      edge(pen, 'wall', [27.3, 37], [27.3, 12]),
      pen.spot('tree', [1.5, 22], { radius: 0.3, note: 'by the fence' }),
      pen.spot('tree', [10, 30], { radius: 0.25 }),
      pen.spot('tree', [11.3, 30.4], { radius: 0.25 }),
      pen.area('no-wire', box(7, 32.2, 16, 34.8), { note: 'drain field' }),
      pen.spot('sprinkler', [14, 24], { radius: 4 }),
      pen.area('building', box(23, 33.5, 25.5, 36), { note: 'tool shed' }),
      pen.spot('outlet', [15, 16]),
    ],
  },
  {
    file: 'old-orchard.geojson',
    title: 'Old orchard',
    about: 'Twelve trees in rows, open meadow on two sides, a loop for every trunk.',
    plot: plotAt(151, -6, SOUTH),
    widthM: 44,
    members: { rules: 'large-lawn' },
    draw: (pen) => [
      pen.area('parcel', box(0, 0, 44, 52)),
      pen.area('lawn', [
        [1, 14],
        [43, 14],
        [43, 50],
        [30, 51],
        [1, 46],
      ]),
      pen.area('building', box(14, 3, 26, 11)),
      pen.area('paving', box(12, 11, 28, 14), { note: 'terrace' }),
      ...[0, 1, 2].flatMap((row) =>
        [0, 1, 2, 3].map((column) =>
          pen.spot('tree', [6.5 + 10.2 * column + 0.8 * (row % 2), 20.5 + 9.6 * row], {
            radius: [0.25, 0.3, 0.4][(row + column) % 3],
          }),
        ),
      ),
      edge(pen, 'open-ground', [1, 14], [1, 46], [30, 51], [43, 50]),
      edge(pen, 'wall', [43, 50], [43, 14]),
      pen.spot('outlet', [20, 11]),
      ...street(pen, 44),
    ],
  },
  {
    file: 'badly-surveyed-garden.geojson',
    title: 'Badly surveyed garden',
    about:
      'Wrong on purpose: a bow-tie, repeated corners, overlapping lawns, rings the wrong way round, an unknown kind.',
    plot: plotAt(120, 6),
    widthM: 26,
    draw: (pen) => [
      pen.rawArea('parcel', [closed(box(0, 0, 26, 34).toReversed())]),
      pen.rawArea('lawn', [
        closed([
          [1, 18],
          [1, 18],
          [14, 18],
          [14, 18],
          [14, 32],
          [9, 32],
          [9, 32.2],
          [1, 32],
        ]),
      ]),
      pen.rawArea('lawn', [closed(box(11, 20, 25, 32).toReversed())]),
      pen.rawArea(
        'lawn',
        [
          closed([
            [2, 1],
            [11, 7],
            [11, 1],
            [2, 7],
          ]),
        ],
        { note: 'bow-tie' },
      ),
      pen.area('building', box(3, 8.5, 16, 16)),
      pen.area('paving', box(1, 16, 25, 18), { note: 'terrace' }),
      pen.rawArea('planting', [
        closed([
          [17, 24],
          [20, 24],
          [20, 24],
          [20, 27],
          [17, 27],
          [17, 24],
        ]),
      ]),
      pen.spot('gnome', [5, 24], { note: 'a kind nobody knows' }),
      edge(pen, 'fence', [25, 20.1], [25.1, 31.9]),
      pen.spot('outlet', [10, 16]),
      ...street(pen, 26),
    ],
  },
  {
    file: 'villa-by-the-lake.geojson',
    title: 'Villa by the lake',
    about:
      'The largest lawn runs down to open water; the owner has fixed the station, and there is no outlet in the garden.',
    plot: plotAt(164, 34, EAST_END),
    widthM: 60,
    members: { rules: 'large-lawn', prices: { currency: 'EUR', taxPct: 19 } },
    draw: (pen) => [
      pen.area('parcel', box(0, 0, 60, 62)),
      pen.area('lawn', [
        [2, 20],
        [58, 20],
        [58, 48],
        [50, 54],
        [40, 57.5],
        [28, 58.5],
        [16, 57],
        [8, 53],
        [2, 47],
      ]),
      pen.area(
        'water',
        [
          [0, 46],
          [2, 47],
          [8, 53],
          [16, 57],
          [28, 58.5],
          [40, 57.5],
          [50, 54],
          [58, 48],
          [60, 47],
          [60, 70],
          [0, 70],
        ],
        { note: 'lake' },
      ),
      pen.area('building', box(20, 6, 40, 17)),
      pen.area('paving', box(14, 17, 46, 20), { note: 'terrace' }),
      pen.area('paving', box(26, 0, 34, 6), { note: 'drive' }),
      pen.area('water', disc([30, 38], 3.2, 36), { note: 'fountain' }),
      pen.area('planting', blob([14, 32], 2.6, 0.15), { note: 'rhododendron' }),
      pen.spot('tree', [46, 30], { radius: 0.5, note: 'cedar' }),
      edge(pen, 'hedge', [2, 20], [2, 47]),
      edge(pen, 'hedge', [58, 48], [58, 20]),
      edge(pen, 'planting', [46, 20], [58, 20]),
      pen.spot('station', [10, 20.35], { heading: Math.round(pen.headingDeg(0)) }),
      ...street(pen, 60),
    ],
  },
];

/** Metres above sea level, invented: 4 % up from the street and a mound of 0.5 m. */
function gentleHeightM(u: number, v: number): number {
  const fromTop = ((u - 13) * (u - 13) + (v - 26) * (v - 26)) / 18;
  return 512 + 0.04 * v + 0.5 * Math.exp(-fromTop);
}

/** Level by the house, down 45 % for 7 m, level below. */
function steepHeightM(_u: number, v: number): number {
  return 514 - 0.45 * Math.min(7, Math.max(0, v - 23)) - 0.01 * v;
}

function closed(spots: readonly Spot[]): Spot[] {
  return [...spots, spots[0]];
}
