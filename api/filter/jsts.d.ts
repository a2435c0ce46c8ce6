/** The two classes of jsts that are used here; its package brings no types. */
declare module 'jsts/org/locationtech/jts/io/GeoJSONReader.js' {
  export default class GeoJSONReader {
    read(geometry: object): object;
  }
}
declare module 'jsts/org/locationtech/jts/operation/relate/RelateOp.js' {
  type Relation = (a: object, b: object) => boolean;
  const RelateOp: Readonly<
    Record<'contains' | 'crosses' | 'disjoint' | 'equalsTopo' | 'intersects' | 'overlaps' | 'touches', Relation>
  >;
  export default RelateOp;
}
