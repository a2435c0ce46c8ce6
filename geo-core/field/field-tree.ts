import type { Polyline } from '#geo-core/model/position.ts';
import { NT_M_PER_A, verticalFieldNt } from './biot-savart.ts';

/** Wires arranged so that far stretches of them are summed at once. */
export type FieldTree = {
  /** Vertical field at a place of the wires' plane or above it, nT at 1 A; as `verticalFieldNt`. */
  readonly fieldNt: (x: number, y: number, heightM?: number) => number;
};

/** A stretch of this many segments or fewer is summed segment by segment. */
const LEAF_SEGMENTS = 16;
/** Numbers kept for a stretch. */
const NODE_SIZE = 12;
const SECOND_HALF = 11;
/** A stretch is far where its radius is at most this share of the distance to its middle. */
const FAR_SHARE = 0.3;

/**
 * A stretch of wire from p to q is its chord and, around what lies between chord and wire, a closed loop:
 *
 *        __/\_            __/\_
 *      _/     \_    =   _/     \_   +                 the loop is a sheet of dipoles: far away
 *     p         q      p<--------q     p -------> q    Bz = (mu0 / 4 pi) (sum of dA (3 h^2 - R^2) / R^5)
 *
 * (D. J. Griffiths, Introduction to Electrodynamics, ch. 5: current sheet and dipole field). The sheet is kept as its area and its
 * first and second moments about the middle of the stretch, so what is left out falls as (radius / distance)^3 of the loop's part.
 * Stretches are halves of halves along the wire, about log n of them looked at for a place.
 */
export function fieldTree(lines: readonly Polyline[]): FieldTree {
  const trees = lines.filter((line) => line.length >= 4).map(treeOf);
  return {
    fieldNt(x, y, heightM = 0) {
      let sumNt = 0;
      for (const tree of trees) sumNt += stretchNt(tree, 0, x, y, heightM);
      return sumNt;
    },
  };
}

/** Nodes in preorder: first and last vertex, middle x and y, radius, area, moments x, y, xx, xy, yy, number of the second half (0 = leaf). */
type Tree = { readonly line: Polyline; readonly nodes: Float64Array };

function treeOf(line: Polyline): Tree {
  const nodes: number[] = [];
  const grow = (first: number, last: number): void => {
    const at = nodes.length;
    nodes.push(first, last, ...sheetOf(line, first, last), 0);
    if (last - first <= LEAF_SEGMENTS) return;
    const half = (first + last) >> 1;
    grow(first, half);
    nodes[at + SECOND_HALF] = nodes.length;
    grow(half, last);
  };
  grow(0, line.length / 2 - 1);
  return { line, nodes: Float64Array.from(nodes) };
}

/** Middle, radius, area and moments about the middle of the loop from a stretch back along its chord. */
function sheetOf(line: Polyline, first: number, last: number): number[] {
  let [minX, minY, maxX, maxY] = [line[2 * first], line[2 * first + 1], line[2 * first], line[2 * first + 1]];
  for (let i = 2 * first + 2; i <= 2 * last; i += 2) {
    minX = Math.min(minX, line[i]);
    maxX = Math.max(maxX, line[i]);
    minY = Math.min(minY, line[i + 1]);
    maxY = Math.max(maxY, line[i + 1]);
  }
  const [x, y] = [(minX + maxX) / 2, (minY + maxY) / 2];
  let radiusSquared = 0;
  const sums = [0, 0, 0, 0, 0, 0];
  for (let i = first; i <= last; i++) {
    const next = i === last ? first : i + 1;
    const [ax, ay] = [line[2 * i] - x, line[2 * i + 1] - y];
    const [bx, by] = [line[2 * next] - x, line[2 * next + 1] - y];
    const cross = ax * by - bx * ay;
    sums[0] += cross / 2;
    sums[1] += (cross * (ax + bx)) / 6;
    sums[2] += (cross * (ay + by)) / 6;
    sums[3] += (cross * (ax * ax + ax * bx + bx * bx)) / 12;
    sums[4] += (cross * (ax * by + 2 * ax * ay + 2 * bx * by + bx * ay)) / 24;
    sums[5] += (cross * (ay * ay + ay * by + by * by)) / 12;
    radiusSquared = Math.max(radiusSquared, ax * ax + ay * ay);
  }
  return [x, y, Math.sqrt(radiusSquared), ...sums];
}

function stretchNt(tree: Tree, at: number, x: number, y: number, heightM: number): number {
  const { nodes, line } = tree;
  const second = nodes[at + SECOND_HALF];
  const [first, last] = [nodes[at], nodes[at + 1]];
  if (second === 0) return verticalFieldNt(line, x, y, heightM, first, last);
  const [dx, dy, radiusM] = [x - nodes[at + 2], y - nodes[at + 3], nodes[at + 4]];
  const squared = dx * dx + dy * dy + heightM * heightM;
  if (radiusM * radiusM > FAR_SHARE * FAR_SHARE * squared) {
    return stretchNt(tree, at + NODE_SIZE, x, y, heightM) + stretchNt(tree, second, x, y, heightM);
  }
  const height = (heightM * heightM) / squared;
  const straight = nodes[at + 6] * dx + nodes[at + 7] * dy;
  const spread = nodes[at + 8] + nodes[at + 10];
  const along = nodes[at + 8] * dx * dx + 2 * nodes[at + 9] * dx * dy + nodes[at + 10] * dy * dy;
  // Taylor series of (3 h^2 - R^2) / R^5 about the middle, to the second order.
  const sheet =
    (3 * height - 1) * nodes[at + 5] +
    ((15 * height - 3) * (straight - spread / 2)) / squared +
    (7.5 * (7 * height - 1) * along) / (squared * squared);
  return chordNt(line, first, last, x, y, heightM) + (NT_M_PER_A * sheet) / (squared * Math.sqrt(squared));
}

const chord = new Float64Array(4);

function chordNt(line: Polyline, first: number, last: number, x: number, y: number, heightM: number): number {
  chord[0] = line[2 * first];
  chord[1] = line[2 * first + 1];
  chord[2] = line[2 * last];
  chord[3] = line[2 * last + 1];
  return verticalFieldNt(chord, x, y, heightM);
}
