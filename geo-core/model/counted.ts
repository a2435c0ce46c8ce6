/** `3 rings`, `1 ring`, `no rings`. */
export function counted(count: number, one: string, many: string = `${one}s`): string {
  if (count === 0) return `no ${many}`;
  return `${count} ${count === 1 ? one : many}`;
}
