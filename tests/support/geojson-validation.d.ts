/** The one function used of geojson-validation 1.0.2, which ships no types. */
declare module 'geojson-validation' {
  const validation: { valid(geoJson: unknown, trace: true): string[]; valid(geoJson: unknown): boolean };
  export default validation;
}
