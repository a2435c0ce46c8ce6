import { distanceM } from './measure.ts';
import { cross } from './segment.ts';

/**
 * A tube cut across by gates: the way crosses gate i from its right end p to its left end q (metres; `next` is i + 1), in order.
 * Two gates that follow each other bound a convex piece of the tube. The way begins in the first p and ends in the last, or,
 * where `firstAlong` or `lastAlong` gives a direction, anywhere on the line through that p that lies in the tube.
 */
export type Tube = {
  readonly p: readonly Place[];
  readonly q: readonly Place[];
  readonly firstAlong: Direction | undefined;
  readonly lastAlong: Direction | undefined;
};
type Direction = readonly [dx: number, dy: number];

/** A place on a wall of the tube; `next` is the first gate after it. */
export type Place = { readonly x: number; readonly y: number; readonly next: number };
type Line = readonly [from: Place, to: Place];

/** A piece of a line that parts the tube: every way crosses it. */
type Window = { readonly right: Place; readonly left: Place };

/**
 * What a link passes on one side (right +1, left -1), from gate `begins` on: the hull of the places so far, in which `pivot`
 * is where the line turned farthest to the other side touches behind, and the place in front where the line from the other
 * wall's pivot touches; and the latest place.
 */
type Wall = {
  readonly side: 1 | -1;
  /** The first `size` of these; what is behind them is left over from links before. */
  readonly hull: Place[];
  size: number;
  begins: number;
  pivot: number;
  front: Place | undefined;
  latest: Place;
};

/** Places nearer to a line than this lie on it, metres. */
const ON_LINE_M = 1e-12;

/**
 * The way with the fewest links through a tube, greedily: every link goes as far as a straight line can, and the line that
 * gets farthest parts the tube, so that the next link need only cross it (ordered stabbing: L. J. Guibas, J. E. Hershberger,
 * J. S. B. Mitchell and J. S. Snoeyink, Int. J. Computational Geometry and Applications 3, 1993, 383-415; hulls of both walls
 * as by J. O'Rourke, Communications of the ACM 24, 1981, 574-578; both from memory). No way between these ends has fewer links.
 * Every gate is looked at once for each of at most two links. Returns the bends, ends included (flat x, y, ...); undefined
 * where rounding leaves no clear answer, or where it takes more than `mostBends`.
 */
export function fewestLinks(tube: Tube, mostBends = Number.POSITIVE_INFINITY): number[] | undefined {
  const first = firstWindow(tube);
  const last = lastWindow(tube);
  const direct = crossing(first, last);
  if (direct !== undefined) return direct;
  const walls = [wallOf(1, first.right), wallOf(-1, first.left)] as const;
  const lines: Line[] = [];
  let from = first;
  for (let round = 0; round <= tube.p.length && lines.length + 2 <= mostBends; round++) {
    const link = farthestLink(tube, walls, from, last);
    if (link === undefined) return undefined;
    lines.push(link.line);
    if (link.window === undefined) return bendsOf(first, lines, last);
    from = link.window;
  }
  return undefined;
}

/** From the first p along its line until that leaves the tube on the left; just the p where there is no line or it leaves on the right. */
function firstWindow({ p, q, firstAlong }: Tube): Window {
  const right = p[0];
  if (firstAlong === undefined) return { right, left: right };
  const line = lineAlong(right, firstAlong);
  const last = q.length - 1;
  for (let gate = 1; gate <= last; gate++) {
    const place = q[gate];
    if (sideM(line, p[gate]) > 0) break;
    const isLeft = sideM(line, place) > 0;
    if (isLeft && gate < last) continue;
    const wall: Line = isLeft ? [p[gate], place] : [q[gate - 1], place];
    return { right, left: meeting(line, wall, gate) ?? right };
  }
  return { right, left: right };
}

/** The same from the last p back. */
function lastWindow({ p, q, lastAlong }: Tube): Window {
  const last = p.length - 1;
  const right = { x: p[last].x, y: p[last].y, next: last };
  if (lastAlong === undefined) return { right, left: right };
  const line = lineAlong(right, lastAlong);
  for (let gate = last - 1; gate >= 0; gate--) {
    const place = q[gate];
    if (sideM(line, p[gate]) > 0) break;
    const isLeft = sideM(line, place) > 0;
    if (isLeft && gate > 0) continue;
    const wall: Line = isLeft ? [p[gate], place] : [place, q[gate + 1]];
    return { right, left: meeting(line, wall, gate + 1) ?? right };
  }
  return { right, left: right };
}

/** No link at all where the lines at both ends meet inside the tube. */
function crossing(first: Window, last: Window): number[] | undefined {
  if (first.left === first.right || last.left === last.right) return undefined;
  const at = meeting([first.right, first.left], [last.right, last.left], 0);
  if (at === undefined || !isBetween(at, first) || !isBetween(at, last)) return undefined;
  return [at.x, at.y];
}

function isBetween({ x, y }: Place, { right, left }: Window): boolean {
  const [dx, dy] = [left.x - right.x, left.y - right.y];
  const along = (x - right.x) * dx + (y - right.y) * dy;
  return along >= 0 && along <= dx * dx + dy * dy;
}

type Link = { readonly line: Line; readonly window: Window | undefined };

/** The line through a window that gets farthest, and the window it leaves for the next link; none where it reaches the end. */
function farthestLink(gates: Tube, [right, left]: readonly [Wall, Wall], from: Window, last: Window): Link | undefined {
  const isPoint = distanceM(from.right.x, from.right.y, from.left.x, from.left.y) < ON_LINE_M;
  begin(right, from.right, isPoint);
  begin(left, from.left, isPoint);
  const firstGate = Math.min(right.begins, left.begins);
  const endGate = Math.max(firstGate, last.left.next);
  for (let gate = firstGate; gate < gates.p.length; gate++) {
    if (gate === endGate) {
      const line = lineToEnd(gates, right, left, gate, last);
      if (line !== undefined) return { line, window: undefined };
    }
    const isRightOpen = gate >= right.begins;
    const isLeftOpen = gate >= left.begins;
    const p = gates.p[gate];
    const q = gates.q[gate];
    if (isRightOpen && isBlocked(right, left, p)) return linkUpTo(right, left, p, gate);
    if (isLeftOpen && isBlocked(left, right, q)) return linkUpTo(left, right, q, gate);
    if (isRightOpen && !pass(right, left, p)) return undefined;
    if (isLeftOpen && !pass(left, right, q)) return undefined;
  }
  return undefined;
}

/** The wall on one side stops every line at a place: the line turned farthest the other way has got farthest. */
function linkUpTo(wall: Wall, other: Wall, place: Place, gate: number): Link | undefined {
  const line = lineBetween(wall, other);
  const exit = line && meeting(line, [wall.latest, place], gate);
  if (line === undefined || exit === undefined) return undefined;
  const touch = line[1];
  return { line, window: wall.side > 0 ? { right: exit, left: touch } : { right: touch, left: exit } };
}

/** A line that passes all gates up to the last window and then that: where it is a point, the line nearest to the right wall. */
function lineToEnd({ p }: Tube, rightSoFar: Wall, leftSoFar: Wall, gate: number, last: Window): Line | undefined {
  const right = { ...rightSoFar, hull: rightSoFar.hull.slice(0, rightSoFar.size) };
  const left = { ...leftSoFar, hull: leftSoFar.hull.slice(0, leftSoFar.size) };
  for (let k = Math.max(gate, right.begins); k < p.length; k++) {
    if (!pass(right, left, p[k])) return undefined;
  }
  if (!pass(left, right, last.left)) return undefined;
  return last.left === last.right ? lineBetween(right, left) : lineBetween(left, right);
}

function wallOf(side: 1 | -1, place: Place): Wall {
  return { side, hull: [place], size: 1, begins: place.next, pivot: 0, front: place, latest: place };
}

/** A wall of the next link, from a place of its window. */
function begin(wall: Wall, place: Place, isPoint: boolean): void {
  wall.hull[0] = place;
  wall.size = 1;
  wall.begins = place.next;
  wall.pivot = 0;
  wall.front = isPoint ? undefined : place;
  wall.latest = place;
}

/** The line that a wall's pivot and the other wall's front hold: turned as far to the other side as it goes. */
function lineBetween(wall: Wall, other: Wall): Line | undefined {
  return other.front && [wall.hull[wall.pivot], other.front];
}

/** Whether no line so far has a place of this wall on this wall's side. */
function isBlocked(wall: Wall, other: Wall, place: Place): boolean {
  if (other.front === undefined) return false;
  const { x, y } = wall.hull[wall.pivot];
  const dx = other.front.x - x;
  const dy = other.front.y - y;
  const beyond = wall.side * (dx * (place.y - y) - dy * (place.x - x));
  return beyond > 0 && beyond > ON_LINE_M * Math.sqrt(dx * dx + dy * dy);
}

/** Takes a place into its wall: lines turned too far that way are turned back to it. False where no line is left. */
function pass(wall: Wall, other: Wall, place: Place): boolean {
  if (isBlocked(wall, other, place)) return false;
  const { side, hull } = wall;
  const ahead = other.hull;
  if (wall.front === undefined || side * crossOf(ahead[other.pivot], wall.front, place) > 0) {
    wall.front = place;
    while (other.pivot + 1 < other.size && side * crossOf(ahead[other.pivot], place, ahead[other.pivot + 1]) < 0)
      other.pivot++;
  }
  while (wall.size - wall.pivot >= 2 && side * crossOf(hull[wall.size - 2], hull[wall.size - 1], place) >= 0)
    wall.size--;
  hull[wall.size++] = place;
  wall.latest = place;
  return true;
}

/** Where consecutive links meet, from the first window to the last. */
function bendsOf(first: Window, lines: readonly Line[], last: Window): number[] | undefined {
  const all: Line[] = [[first.right, first.left], ...lines, [last.right, last.left]];
  const bends: number[] = [];
  for (let i = 1; i < all.length; i++) {
    const end = i === 1 ? first : i === all.length - 1 ? last : undefined;
    const bend = end !== undefined && end.right === end.left ? end.right : meeting(all[i - 1], all[i], 0);
    if (bend === undefined) return undefined;
    bends.push(bend.x, bend.y);
  }
  return bends;
}

function lineAlong({ x, y, next }: Place, [dx, dy]: Direction): Line {
  return [
    { x, y, next },
    { x: x + dx, y: y + dy, next },
  ];
}

/** Where two lines meet; undefined where they are parallel. */
function meeting([a, b]: Line, [c, d]: Line, next: number): Place | undefined {
  const ux = b.x - a.x;
  const uy = b.y - a.y;
  const vx = d.x - c.x;
  const vy = d.y - c.y;
  const across = ux * vy - uy * vx;
  const t = (ux * (a.y - c.y) - uy * (a.x - c.x)) / across;
  return Number.isFinite(t) ? { x: c.x + t * vx, y: c.y + t * vy, next } : undefined;
}

/** How far left of a line a place lies, metres. */
function sideM(line: Line, place: Place): number {
  const [a, b] = line;
  return crossOf(a, b, place) / distanceM(a.x, a.y, b.x, b.y);
}

function crossOf(a: Place, b: Place, c: Place): number {
  return cross(a.x, a.y, b.x, b.y, c.x, c.y);
}
