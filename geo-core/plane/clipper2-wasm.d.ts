/** The few functions used of clipper2-wasm 0.4.0, whose package.json points `types` at a file that does not exist. */
declare module 'clipper2-wasm' {
  export type Handle = { delete(): void };
  export type PathD = Handle & { assign(xyz: Float64Array): void; view(): Float64Array; size(): number };
  export type PathsD = Handle & {
    push_back(path: PathD): void;
    /** A copy. */
    get(index: number): PathD;
    size(): number;
    clear(): void;
  };
  export type ClipperD = Handle & {
    AddSubject(paths: PathsD): void;
    AddClip(paths: PathsD): void;
    ExecutePath(clipType: unknown, fillRule: unknown, closed: PathsD): boolean;
    /** Forgets all paths; the engine can be used again. */
    Clear(): void;
  };
  export type Clipper2 = {
    PathD: new () => PathD;
    PathsD: new () => PathsD;
    ClipperD: new (precision: number) => ClipperD;
    ClipType: { Intersection: unknown; Union: unknown; Difference: unknown; Xor: unknown };
    FillRule: { EvenOdd: unknown; NonZero: unknown; Positive: unknown; Negative: unknown };
    JoinType: { Square: unknown; Round: unknown; Miter: unknown };
    EndType: { Polygon: unknown; Joined: unknown; Butt: unknown; Square: unknown; Round: unknown };
    InflatePathsD(
      paths: PathsD,
      deltaM: number,
      join: unknown,
      end: unknown,
      mitreLimit: number,
      precision: number,
      arcTolerance: number,
    ): PathsD;
    SimplifyPathsD(paths: PathsD, epsilonM: number, isClosed: boolean): PathsD;
  };
  export default function load(options: { wasmBinary: Uint8Array }): Promise<Clipper2>;
}
