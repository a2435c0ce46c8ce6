/** A filter that says nothing this service can answer: what is wrong, and where. */
export class FilterError extends Error {
  override readonly name = 'FilterError';
}
