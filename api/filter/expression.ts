import type { Geometry } from '#api/store/geometry.ts';

/** A filter as CQL2 JSON has it (OGC 21-065r2, clause 8.3), checked. */
export type Expression =
  | string
  | number
  | boolean
  | null
  | { readonly property: string }
  | { readonly op: string; readonly args: readonly Expression[] }
  | { readonly date: string }
  | { readonly timestamp: string }
  | { readonly interval: readonly Expression[] }
  | { readonly list: readonly Expression[] }
  | { readonly geometry: LiteralGeometry };

export type LiteralGeometry =
  | Geometry
  | { readonly type: 'GeometryCollection'; readonly geometries: readonly LiteralGeometry[] };

/** How far a filter may go before it is refused: it comes from strangers. */
export const FILTER_LIMITS = { charactersMax: 16_384, depthMax: 40, nodesMax: 1_000, positionsMax: 10_000 } as const;
