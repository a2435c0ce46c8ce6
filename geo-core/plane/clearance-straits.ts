import { footOn, isClear, seesFromCorner, type WallPoint, type Walls } from './clearance-walls.ts';

/**
 * A locally narrowest place: a straight line inside from wall to wall whose circle (the line as diameter) is clear. It is where
 * the distance to the boundary has a saddle, and its length is the clear width there.
 */
export type Strait = { readonly p: WallPoint; readonly q: WallPoint; readonly widthM: number };

/** Slack of "nothing lies inside the circle": so much, or this share of the width where that is less. Metres. */
const CLEAR_M = 1e-7;
const CLEAR_SHARE = 1e-4;
/** Slack of a direction, sine, and of a foot at the end of a wall, metres. */
const END_SLACK = 1e-9;
/** Walls that touch the circle so near to the line, as a share of its length, are those at its ends. */
const HEMMED_SHARE = 0.01;
/** What is narrower is closed, metres: the grid of the plane. */
const CLOSED_M = 1e-5;

/**
 * All straits narrower than `mostM`, exact, widest first. At least one end of a strait is a corner that sticks into the ground (between two
 * slanting walls there is always a narrower place, and between parallel ones the width is that at the first corner that
 * ends them), so only corners look for their opposite.
 */
export function findStraits(walls: Walls, mostM: number): Strait[] {
  const found: Strait[] = [];
  const { segments: s, ux, uy, lengthM, previous, isReflex } = walls;
  const keep = (i: number, q: WallPoint): void => {
    const p = { x: s[4 * i], y: s[4 * i + 1], segment: i };
    const [dx, dy] = [q.x - p.x, q.y - p.y];
    const widthM = Math.sqrt(dx * dx + dy * dy);
    if (widthM >= mostM || widthM < CLOSED_M) return;
    const [x, y] = [p.x + dx / 2, p.y + dy / 2];
    if (!isClear(walls, x, y, widthM / 2 - Math.min(CLEAR_M, CLEAR_SHARE * widthM))) return;
    if (walls.holds(x, y) && !isHemmedIn(walls, p, q, widthM)) found.push({ p, q, widthM });
  };
  for (let i = 0; i < walls.count; i++) {
    if (isReflex[i] === 0) continue;
    const [x, y] = [s[4 * i], s[4 * i + 1]];
    const [minX, minY, maxX, maxY] = viewFrom(walls, i, mostM);
    walls.index.search(minX, minY, maxX, maxY, (j) => {
      if (j === i) return false;
      const [dx, dy] = [s[4 * j] - x, s[4 * j + 1] - y];
      if (isReflex[j] === 1 && j > i && seesFromCorner(walls, i, dx, dy, END_SLACK * mostM)) {
        if (seesFromCorner(walls, j, -dx, -dy, END_SLACK * mostM))
          keep(i, { x: s[4 * j], y: s[4 * j + 1], segment: j });
      }
      if (j === previous[i]) return false;
      const aside = ux[j] * dy - uy[j] * dx;
      const t = -(dx * ux[j] + dy * uy[j]);
      // The corner must stand on the inner side of the segment and right before it.
      if (aside >= 0 || aside <= -mostM || t <= END_SLACK || t >= lengthM[j] - END_SLACK) return false;
      if (seesFromCorner(walls, i, -aside * uy[j], aside * ux[j], END_SLACK * mostM)) {
        keep(i, { x: s[4 * j] + t * ux[j], y: s[4 * j + 1] + t * uy[j], segment: j });
      }
      return false;
    });
  }
  return found.sort((a, b) => b.widthM - a.widthM);
}

/** Whether walls touch the circle over p-q on both sides of it: then its middle is a widest place, not a saddle. */
function isHemmedIn(walls: Walls, p: WallPoint, q: WallPoint, widthM: number): boolean {
  const [x, y] = [(p.x + q.x) / 2, (p.y + q.y) / 2];
  const reachM = widthM / 2 + CLEAR_M;
  let sides = 0;
  walls.index.search(x - reachM, y - reachM, x + reachM, y + reachM, (k) => {
    const foot = footOn(walls, k, x, y);
    if (foot.distanceM > reachM) return false;
    const aside = ((q.x - p.x) * (foot.y - p.y) - (q.y - p.y) * (foot.x - p.x)) / widthM;
    if (Math.abs(aside) > HEMMED_SHARE * widthM) sides |= aside > 0 ? 1 : 2;
    return false;
  });
  return sides === 3;
}

/** The box of what lies within reach between the two normals of a corner. */
function viewFrom({ segments: s, ux, uy, previous }: Walls, i: number, reachM: number) {
  const [x, y] = [s[4 * i], s[4 * i + 1]];
  const before = previous[i];
  const dot = ux[before] * ux[i] + uy[before] * uy[i];
  if (dot <= 0) return [x - reachM, y - reachM, x + reachM, y + reachM] as const;
  const [nx, ny] = [-uy[i] * reachM, ux[i] * reachM];
  const [mx, my] = [-uy[before] * reachM, ux[before] * reachM];
  const [tipX, tipY] = [(nx + mx) / (1 + dot), (ny + my) / (1 + dot)];
  return [
    x + Math.min(0, nx, mx, tipX),
    y + Math.min(0, ny, my, tipY),
    x + Math.max(0, nx, mx, tipX),
    y + Math.max(0, ny, my, tipY),
  ] as const;
}
