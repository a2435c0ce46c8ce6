import { decimals, type Element, element, type MarkUp } from './mark-up.ts';

/** Colours of the sheet: warm paper, near-black ink, flat washes. Nothing depends on colour alone: every wash has its own hatch. */
export const INK = {
  paper: '#f7f2e6',
  line: '#1f1e1a',
  soft: '#57534a',
  faint: '#9a9582',
  lawn: '#e1e7c9',
  lawnRim: '#bcc79a',
  handMow: '#eeeeda',
  keepOut: '#efe2cb',
  building: '#ddd3c4',
  paving: '#ece5d6',
  road: '#e6e0d3',
  water: '#d3e1e4',
  planting: '#d3dbb8',
} as const;

/** Line widths after ISO 128-2 (0.7 : 0.35 : 0.18), millimetres. */
export const WIDTH = { thick: 0.7, middle: 0.35, thin: 0.18 } as const;

/** Side of the tile of grass and least distance of its tufts, millimetres. */
const GRASS_TILE = 53;
const TUFTS_APART = 4.2;

export const SERIF = "Alegreya, 'Iowan Old Style', Palatino, Georgia, serif";
export const SANS = "'Source Sans 3', 'Source Sans Pro', 'Segoe UI', 'Liberation Sans', Arial, sans-serif";

function hatches(): Element {
  const stroke = (d: string, colour: string, width: number) =>
    element('path', { d, stroke: colour, 'stroke-width': width, fill: 'none', 'stroke-linecap': 'round' });
  const hatch = (id: string, size: number, turn: number, ...content: MarkUp[]) =>
    element(
      'pattern',
      { id, width: size, height: size, patternUnits: 'userSpaceOnUse', patternTransform: `rotate(${turn})` },
      ...content,
    );
  return element(
    'defs',
    {},
    hatch('grass', GRASS_TILE, 0, stroke(grassTufts(), INK.faint, 0.13)),
    hatch('strokes', 1.7, 45, stroke('M0.85 0V1.7', INK.faint, 0.16)),
    hatch('cross', 2.1, 45, stroke('M1.05 0V2.1M0 1.05H2.1', INK.soft, 0.15)),
    hatch('slopes', 3.4, 0, stroke('M0.5 0.4L1.1 2.2M2.2 1.4L2.6 2.6', INK.soft, 0.2)),
    hatch('dots', 1.8, 30, element('circle', { cx: 0.9, cy: 0.9, r: 0.22, fill: INK.soft })),
    hatch('poche', 1.5, 45, stroke('M0.75 0V1.5', INK.soft, 0.13)),
    hatch('bond', 4, 0, stroke('M0 1H4M0 3H4M1 1V3M3 3V4M3 0V1', INK.faint, 0.1)),
    hatch(
      'waves',
      4.2,
      0,
      stroke('M0 1.2Q1.05 0.4 2.1 1.2Q3.15 2 4.2 1.2M0 3.3Q1.05 4.1 2.1 3.3Q3.15 2.5 4.2 3.3', INK.soft, 0.13),
    ),
    hatch(
      'stipple',
      3.1,
      20,
      stroke('M0.6 0.8h0.01M2.1 0.4h0.01M1.4 1.9h0.01M2.7 2.5h0.01M0.4 2.7h0.01', INK.soft, 0.26),
    ),
  );
}

/** Hatches of the sheet in millimetres; `url(#id)` fills with one. */
export const HATCHES = hatches();

/** Three short blades a tuft, tufts strewn like seed: by chance (always the same), but none on top of another, across the tile's edges too. */
function grassTufts(): string {
  const tufts: { x: number; y: number }[] = [];
  let seed = 20_240_101;
  const chance = () => {
    // Linear congruential generator (Park and Miller 1988, from memory); products stay below 2^53.
    seed = (seed * 48_271) % 2_147_483_647;
    return (seed / 2_147_483_647) * GRASS_TILE;
  };
  const apart = (a: number, b: number) => Math.min(Math.abs(a - b), GRASS_TILE - Math.abs(a - b));
  for (let attempt = 0; attempt < 400; attempt++) {
    const [x, y] = [chance(), chance()];
    if (tufts.every((tuft) => apart(tuft.x, x) ** 2 + apart(tuft.y, y) ** 2 > TUFTS_APART ** 2)) tufts.push({ x, y });
  }
  return tufts
    .filter(({ x, y }) => x > 0.6 && x < GRASS_TILE - 0.6 && y > 1.2)
    .map(({ x, y }) => `M${decimals(x)} ${decimals(y)}l-0.45 -0.85m0.45 0.85l0.05 -1.15m-0.05 1.15l0.5 -0.75`)
    .join('');
}
