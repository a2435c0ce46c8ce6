import { describe, expect, it } from 'vitest';
import { createFigures } from '#map-client/figures.ts';

const space = '\u00a0';

describe('figures', () => {
  it('write short lengths to the centimetre and long ones to the metre', () => {
    const figures = createFigures('en', 'metric');
    expect(figures.length(0.35)).toBe(`0.35${space}m`);
    expect(figures.length(134.6)).toBe(`135${space}m`);
    expect(figures.length(0)).toBe(`0${space}m`);
  });

  it('follow the locale of the site', () => {
    expect(createFigures('de', 'metric').area(1921.4)).toBe(`1.921${space}m²`);
    expect(createFigures('en', 'metric').area(1921.4)).toBe(`1,921${space}m²`);
  });

  it('fall back to English for a locale nobody knows', () => {
    expect(createFigures('xx-unknown', 'metric').hours(8)).toBe(`8.0${space}h`);
  });

  it('write feet where the site asks for US customary units: 0.3048 m is one foot by definition', () => {
    const figures = createFigures('en', 'us');
    expect(figures.length(0.3048)).toBe(`1.00${space}ft`);
    expect(figures.area(0.3048 * 0.3048 * 100)).toBe(`100${space}ft²`);
  });
});
