import { describe, expect, test } from 'vitest';
import { firmProfileSchema } from '#api/contract/papers-schema.ts';
import { logoOf } from '#geo-core/model/logo.ts';
import { accentFor, contrastOnWhite, DEFAULT_ACCENT } from '#geo-core/papers/accent.ts';

describe('the colour of a firm', () => {
  test('is used where it can be read on white, else the default is', () => {
    expect(accentFor('#3A5A2B')).toBe('#3a5a2b');
    for (const pale of ['#ffee00', '#cccccc', 'red', '#12', 'url(x)', undefined])
      expect(accentFor(pale)).toBe(DEFAULT_ACCENT);
  });

  test('is measured as WCAG 2.2 does: black 21 : 1, white 1 : 1, #767676 the lightest grey with 4.5 : 1', () => {
    expect(contrastOnWhite('#000000')).toBeCloseTo(21, 6);
    expect(contrastOnWhite('#ffffff')).toBeCloseTo(1, 6);
    expect(contrastOnWhite('#767676')).toBeGreaterThanOrEqual(4.5);
    expect(contrastOnWhite('#777777')).toBeLessThan(4.5);
    expect(contrastOnWhite(DEFAULT_ACCENT)).toBeGreaterThan(4.5);
  });
});

const png = (width: number, height: number, length = 60) => {
  const bytes = Buffer.alloc(length);
  bytes.set([137, 80, 78, 71, 13, 10, 26, 10]);
  bytes.write('IHDR', 12, 'latin1');
  bytes.writeUInt32BE(width, 16);
  bytes.writeUInt32BE(height, 20);
  bytes.write('IEND', length - 8, 'latin1');
  return `data:image/png;base64,${bytes.toString('base64')}`;
};
const jpeg = (width: number, height: number) => {
  const bytes = Buffer.from('ffd8ffe000040000ffc0000b08000000000100ffd9', 'hex');
  bytes.writeUInt16BE(height, 13);
  bytes.writeUInt16BE(width, 15);
  return `data:image/jpeg;base64,${bytes.toString('base64')}`;
};

describe('a logo', () => {
  test('is a PNG or JPEG whose size is read from its own bytes', () => {
    expect(logoOf(png(120, 40))).toMatchObject({ mediaType: 'image/png', width: 120, height: 40 });
    expect(logoOf(jpeg(300, 200))).toMatchObject({ mediaType: 'image/jpeg', width: 300, height: 200 });
  });

  test.each([
    ['an address', 'https://example.com/logo.png'],
    ['a drawing that could run', 'data:image/svg+xml;base64,PHN2Zz48L3N2Zz4='],
    ['text that only says it is one', 'data:image/png;base64,aGVsbG8='],
    ['cut off at its end', png(10, 10).slice(0, -12)],
    ['far too wide', png(30_000, 30_000)],
    ['without any size', png(0, 10)],
    ['far too heavy', png(10, 10, 300_000)],
    ['with signs that are no base 64', `${png(10, 10)}"onload="x`],
  ])('%s is refused with a reason', (_, uri) => {
    const read = logoOf(uri);
    expect(read).toHaveProperty('fault');
    expect(firmProfileSchema.safeParse({ logo: uri }).success).toBe(false);
  });
});
