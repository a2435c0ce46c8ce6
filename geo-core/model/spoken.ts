/** An id as people say it: `zone-1` -> `zone 1`, `keep-out-loop-3` -> `keep-out loop 3`, `boundary-2` -> `boundary loop 2`. */
export function spoken(id: string): string {
  return id
    .replace(/-(\d+)$/, ' $1')
    .replace('keep-out-loop', 'keep-out loop')
    .replace(/^boundary /, 'boundary loop ');
}
