/** Every choice among a few things, none and all of them included. */
export function subsets<T>(items: readonly T[]): T[][] {
  return Array.from({ length: 2 ** items.length }, (_, choice) => items.filter((_, i) => (choice >> i) % 2 === 1));
}
