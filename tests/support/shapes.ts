import type { Polygon } from '#geo-core/model/position.ts';
import { ringAreaM2 } from '#geo-core/plane/measure.ts';

type Pairs = readonly (readonly [number, number])[];

/** Rings of positions -> polygon, whatever way round they are drawn: outer counter-clockwise, holes clockwise. */
export function polygonOf(outer: Pairs, ...holes: readonly Pairs[]): Polygon {
  return { outer: wound(outer, 1), holes: holes.map((hole) => wound(hole, -1)) };
}

function wound(xy: Pairs, sign: number): Float64Array {
  const ring = Float64Array.from(xy.flat());
  return Math.sign(ringAreaM2(ring)) === sign ? ring : Float64Array.from(xy.toReversed().flat());
}

/** 'POLYGON ((x y, ...), (...))' -> polygon. */
export function polygonOfWkt(wkt: string): Polygon {
  const rings = [...wkt.matchAll(/\(([^()]+)\)/g)].map(([, ring]) =>
    ring
      .split(',')
      .slice(0, -1)
      .map((pair): [number, number] => {
        const [x, y] = pair.trim().split(/\s+/).map(Number);
        return [x, y];
      }),
  );
  return polygonOf(rings[0], ...rings.slice(1));
}

export function box(x: number, y: number, width: number, height: number): Pairs {
  return [
    [x, y],
    [x + width, y],
    [x + width, y + height],
    [x, y + height],
  ];
}

/** The same ground at another place: turned by the angle whose cosine and sine are given, then moved. */
export function moved({ outer, holes }: Polygon, cosine: number, sine: number, dx: number, dy: number): Polygon {
  const move = (ring: Float64Array): Float64Array =>
    ring.map((_, i) =>
      i % 2 === 0 ? cosine * ring[i] - sine * ring[i + 1] + dx : sine * ring[i - 1] + cosine * ring[i] + dy,
    );
  return { outer: move(outer), holes: holes.map(move) };
}

/** Two 10 x 10 rooms joined by a corridor of given width and length; its lower wall at `corridorY`. */
export function twoRooms(widthM: number, lengthM: number, corridorY: number): Polygon {
  const right = 10 + lengthM;
  return polygonOf([
    [0, 0],
    [10, 0],
    [10, corridorY],
    [right, corridorY],
    [right, 0],
    [right + 10, 0],
    [right + 10, 10],
    [right, 10],
    [right, corridorY + widthM],
    [10, corridorY + widthM],
    [10, 10],
    [0, 10],
  ]);
}

/** Reproducible numbers from 0 to 1 (a linear congruential generator, constants of Numerical Recipes). */
export function seeded(seed: number): () => number {
  let state = seed >>> 0;
  return () => {
    state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0;
    return state / 4_294_967_296;
  };
}
