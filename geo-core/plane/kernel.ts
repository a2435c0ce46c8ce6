import load, { type Clipper2, type PathsD } from 'clipper2-wasm';
import type { Ring } from '#geo-core/model/position.ts';

/**
 * The polygon kernel: clipper2-wasm behind a port of a few functions on flat rings (metres; positive = counter-clockwise).
 * The only file that knows the kernel library. The host loads the bytes once; every WebAssembly object made for a call is deleted.
 * Everything is scaled to integers of gridM metres first, since the kernel's own grid is a power of two; results lie on half of it; output outer rings are counter-clockwise, holes clockwise.
 */
export type Kernel = {
  /** Even-odd reading of possibly crossing rings. */
  evenOdd(rings: readonly Ring[], gridM: number): Ring[];
  /** Ground with winding number of at least one. */
  positiveUnion(rings: readonly Ring[], gridM: number): Ring[];
  difference(subject: readonly Ring[], clip: readonly Ring[], gridM: number): Ring[];
  intersection(subject: readonly Ring[], clip: readonly Ring[], gridM: number): Ring[];
  /** Grown (deltaM > 0) or shrunk; round joins have chords inside the arc and within `arcToleranceM` (0.25 mm) of it; input clean. */
  offset(
    rings: readonly Ring[],
    deltaM: number,
    gridM: number,
    join?: 'round' | 'mitre',
    arcToleranceM?: number,
  ): Ring[];
};

const ARC_TOLERANCE_M = 0.000_25;
/**
 * The sweep goes up line by line and looks at every edge that is open there. Outlines of so many vertices that are wide and low are
 * turned by a quarter first: a lawn with 500 teeth in a row took 42 s lying and takes 2 s standing. Fewer vertices gain little.
 */
const LEAST_TURNED_VERTICES = 4000;
const WIDE_AND_LOW = 2;

let loaded: Kernel | undefined;

/** Loads the kernel from its WebAssembly bytes (Node reads the file, the browser gets a URL from the bundler). Once per process. */
export async function loadKernel(wasmBytes: Uint8Array): Promise<void> {
  loaded ??= wrap(await load({ wasmBinary: wasmBytes }));
}

/** The loaded kernel. Throws when `loadKernel` was not awaited first. */
export function kernel(): Kernel {
  if (loaded === undefined) throw new Error('kernel not loaded: await loadKernel(bytes) once before planning');
  return loaded;
}

function wrap(clipper: Clipper2): Kernel {
  const { PathD, PathsD, ClipperD, ClipType, FillRule, JoinType, EndType } = clipper;

  // One engine, one path and one set of paths each way for all calls: making and deleting handles costs as much as a small sweep.
  const engine = new ClipperD(0);
  const solution = new PathsD();
  const lifted = new PathsD();
  const path = new PathD();
  let scratch = new Float64Array(1024);

  /** The rings as paths, turned by a quarter to the left where that is said, until the next call. */
  function lift(rings: readonly Ring[], perMetre: number, isTurned: boolean): PathsD {
    lifted.clear();
    for (const ring of rings) {
      if (ring.length < 6) continue;
      const size = (ring.length / 2) * 3;
      if (size > scratch.length) scratch = new Float64Array(2 * size);
      for (let i = 0, j = 0; i < ring.length; i += 2, j += 3) {
        const x = Math.round(ring[i] * perMetre);
        const y = Math.round(ring[i + 1] * perMetre);
        scratch[j] = isTurned ? -y : x;
        scratch[j + 1] = isTurned ? x : y;
      }
      path.assign(scratch.subarray(0, size));
      lifted.push_back(path);
    }
    return lifted;
  }

  function lower(paths: PathsD, perMetre: number, isTurned: boolean): Ring[] {
    const rings: Ring[] = [];
    for (let k = 0; k < paths.size(); k++) {
      const one = paths.get(k);
      const xyz = one.view();
      const ring = new Float64Array((xyz.length / 3) * 2);
      for (let i = 0, j = 0; j < xyz.length; i += 2, j += 3) {
        ring[i] = (isTurned ? xyz[j + 1] : xyz[j]) / perMetre;
        ring[i + 1] = (isTurned ? 0 - xyz[j] : xyz[j + 1]) / perMetre;
      }
      one.delete();
      if (ring.length >= 6) rings.push(ring);
    }
    return rings;
  }

  function clip(
    type: unknown,
    fill: unknown,
    subject: readonly Ring[],
    clipRings: readonly Ring[],
    gridM: number,
  ): Ring[] {
    if (subject.length === 0) return [];
    const perMetre = Math.round(1 / gridM);
    const isTurned = areWideAndLow(subject);
    engine.AddSubject(lift(subject, perMetre, isTurned));
    if (clipRings.length > 0) engine.AddClip(lift(clipRings, perMetre, isTurned));
    engine.ExecutePath(type, fill, solution);
    engine.Clear();
    return lower(solution, perMetre, isTurned);
  }

  return {
    evenOdd: (rings, gridM) => clip(ClipType.Union, FillRule.EvenOdd, rings, [], gridM),
    positiveUnion: (rings, gridM) => clip(ClipType.Union, FillRule.Positive, rings, [], gridM),
    difference: (subject, clipRings, gridM) => clip(ClipType.Difference, FillRule.NonZero, subject, clipRings, gridM),
    intersection: (subject, clipRings, gridM) =>
      clip(ClipType.Intersection, FillRule.NonZero, subject, clipRings, gridM),
    offset(rings, deltaM, gridM, join = 'round', arcToleranceM = ARC_TOLERANCE_M) {
      const perMetre = Math.round(1 / gridM);
      const isTurned = areWideAndLow(rings);
      const grown = clipper.InflatePathsD(
        lift(rings, perMetre, isTurned),
        deltaM * perMetre,
        join === 'round' ? JoinType.Round : JoinType.Miter,
        EndType.Polygon,
        2,
        0,
        arcToleranceM * perMetre,
      );
      const result = lower(grown, perMetre, isTurned);
      grown.delete();
      return result;
    },
  };
}

function areWideAndLow(rings: readonly Ring[]): boolean {
  let vertices = 0;
  for (const ring of rings) vertices += ring.length / 2;
  if (vertices < LEAST_TURNED_VERTICES) return false;
  let [minX, minY, maxX, maxY] = [Infinity, Infinity, -Infinity, -Infinity];
  for (const ring of rings) {
    for (let i = 0; i < ring.length; i += 2) {
      if (ring[i] < minX) minX = ring[i];
      if (ring[i] > maxX) maxX = ring[i];
      if (ring[i + 1] < minY) minY = ring[i + 1];
      if (ring[i + 1] > maxY) maxY = ring[i + 1];
    }
  }
  return maxX - minX > WIDE_AND_LOW * (maxY - minY);
}
