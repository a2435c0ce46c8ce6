import { distanceM } from './measure.ts';

/** Lines by name that take new vertices on their segments; the lines given are left as they are. */
export type PlacesOnLines = {
  /** Adds a line; a closed one has a segment from its last vertex to its first. */
  add(id: string, line: Float64Array, closed: boolean): void;
  /** Puts a place on segment `edge` of a line; an old vertex or place within `SAME_M` is used instead. The place used. */
  put(id: string, edge: number, x: number, y: number): readonly [number, number];
  /** The line with its places as vertices. */
  lineOf(id: string): Float64Array;
};

/** Places nearer than this are one, metres: a hundredth of the grid. */
const SAME_M = 1e-7;

type Held = { readonly line: Float64Array; readonly places: Map<number, (readonly [number, number])[]> };

export function placesOnLines(): PlacesOnLines {
  const held = new Map<string, Held & { readonly closed: boolean }>();

  function lineNamed(id: string): Held & { readonly closed: boolean } {
    const found = held.get(id);
    if (found === undefined) throw new Error(`no line '${id}' to put a place on`);
    return found;
  }

  return {
    add(id, line, closed) {
      held.set(id, { line, closed, places: new Map() });
    },
    put(id, edge, x, y) {
      const { line, places } = lineNamed(id);
      const next = (2 * edge + 2) % line.length;
      const known = places.get(edge) ?? [];
      const ends: (readonly [number, number])[] = [
        [line[2 * edge], line[2 * edge + 1]],
        [line[next], line[next + 1]],
      ];
      const same = [...ends, ...known].find(([px, py]) => distanceM(px, py, x, y) <= SAME_M);
      if (same !== undefined) return same;
      places.set(edge, [...known, [x, y]]);
      return [x, y];
    },
    lineOf(id) {
      const { line, places, closed } = lineNamed(id);
      if (places.size === 0) return line;
      const points: number[] = [];
      for (let i = 0; i < line.length; i += 2) {
        points.push(line[i], line[i + 1]);
        const own = closed || i + 2 < line.length ? places.get(i / 2) : undefined;
        if (own === undefined) continue;
        const fromStart = ([x, y]: readonly [number, number]): number => distanceM(line[i], line[i + 1], x, y);
        points.push(...own.toSorted((a, b) => fromStart(a) - fromStart(b)).flat());
      }
      return new Float64Array(points);
    },
  };
}
