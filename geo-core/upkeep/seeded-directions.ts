/**
 * Unit directions, every one as likely as every other, the same for the same seed on every engine: places drawn in a square are kept
 * where they lie in the circle (J. von Neumann's rejection) and brought to its rim by + - * / and a square root. The numbers come from a
 * 32-bit mixer: Weyl step, two multiply-xorshift rounds.
 */
export function seededDirections(seed: number): () => readonly [number, number] {
  let state = seed >>> 0;
  const next = (): number => {
    state = (state + 0x6d2b79f5) >>> 0;
    let mixed = Math.imul(state ^ (state >>> 15), state | 1);
    mixed ^= mixed + Math.imul(mixed ^ (mixed >>> 7), mixed | 61);
    return ((mixed ^ (mixed >>> 14)) >>> 0) / 2 ** 31 - 1;
  };
  return () => {
    for (;;) {
      const [x, y] = [next(), next()];
      const squared = x * x + y * y;
      if (squared > 1 || squared < 1e-6) continue;
      const length = Math.sqrt(squared);
      return [x / length, y / length];
    }
  };
}
