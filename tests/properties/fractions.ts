/** Exact fractions of whole numbers: what money is checked with. */
export type Fraction = { readonly top: bigint; readonly bottom: bigint };

/** A decimal as it is written, or a number by its shortest decimal form. */
export function fraction(value: number | string): Fraction {
  const [, sign, whole, part = '', power = '0'] = /^(-?)(\d+)(?:\.(\d+))?(?:e([+-]?\d+))?$/i.exec(String(value)) ?? [];
  if (whole === undefined) throw new Error(`${value} is no decimal`);
  const shift = Number(power) - part.length;
  const top = BigInt(`${sign}${whole}${part}`);
  return shift >= 0 ? { top: top * 10n ** BigInt(shift), bottom: 1n } : { top, bottom: 10n ** BigInt(-shift) };
}

export function plus(a: Fraction, b: Fraction): Fraction {
  return { top: a.top * b.bottom + b.top * a.bottom, bottom: a.bottom * b.bottom };
}

export function times(a: Fraction, b: Fraction): Fraction {
  return { top: a.top * b.top, bottom: a.bottom * b.bottom };
}

export function over(a: Fraction, b: Fraction): Fraction {
  return { top: a.top * b.bottom, bottom: a.bottom * b.top };
}

export function same(a: Fraction, b: Fraction): boolean {
  return a.top * b.bottom === b.top * a.bottom;
}

/** To so many decimals, halves up or to even; not for negative numbers. */
export function rounded({ top, bottom }: Fraction, decimals: number, half: 'up' | 'even'): Fraction {
  const scale = 10n ** BigInt(decimals);
  const whole = (top * scale) / bottom;
  const rest = top * scale - whole * bottom;
  const isUp = 2n * rest > bottom || (2n * rest === bottom && (half === 'up' || whole % 2n === 1n));
  return { top: isUp ? whole + 1n : whole, bottom: scale };
}

/** Rounded up to so many decimals. */
export function upTo({ top, bottom }: Fraction, decimals: number): Fraction {
  const scale = 10n ** BigInt(decimals);
  return { top: (top * scale + bottom - 1n) / bottom, bottom: scale };
}

export function text({ top, bottom }: Fraction): string {
  return String(Number(top) / Number(bottom));
}
