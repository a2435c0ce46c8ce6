import { describe, expect, it } from 'vitest';
import { INKS } from '#map-client/ink.ts';

/** Relative luminance and contrast ratio as WCAG 2.2 defines them (sRGB, threshold 0.04045). */
function luminance(hex: string): number {
  const [red, green, blue] = [1, 3, 5].map((at) => {
    const share = Number.parseInt(hex.slice(at, at + 2), 16) / 255;
    return share <= 0.04045 ? share / 12.92 : ((share + 0.055) / 1.055) ** 2.4;
  });
  return 0.2126 * red + 0.7152 * green + 0.0722 * blue;
}
function contrast(one: string, other: string): number {
  const [light, dark] = [luminance(one), luminance(other)].toSorted((a, b) => b - a);
  return (light + 0.05) / (dark + 0.05);
}

describe.each(Object.values(INKS))('the ink of $name', (ink) => {
  const washes = [ink.paper, ink.lawn, ink.planting, ink.water, ink.paving, ink.building, ink.road, ink.keepOut];

  it('writes main lines and text at 4.5 to 1 or more on every wash', () => {
    for (const wash of washes) expect(contrast(ink.line, wash), wash).toBeGreaterThanOrEqual(4.5);
  });

  it('writes second lines and notes at 4.5 to 1 or more on every wash', () => {
    for (const wash of washes) expect(contrast(ink.soft, wash), wash).toBeGreaterThanOrEqual(4.5);
  });

  it('marks what is touched at 3 to 1 or more on every wash', () => {
    for (const wash of washes) expect(contrast(ink.accent, wash), wash).toBeGreaterThanOrEqual(3);
  });

  it('knows its own contrast: black on white is 21 to 1', () => {
    expect(contrast('#000000', '#ffffff')).toBeCloseTo(21, 10);
  });
});
