import { describe, expect, it } from 'vitest';
import { STAGE_IDS } from '#geo-core/index.ts';
import { PLAN_KINDS } from '#geo-core/model/plan.ts';
import { BEYONDS } from '#geo-core/model/site.ts';
import { INKS } from '#map-client/ink.ts';
import { SHEETS } from '#map-client/layers/sheets.ts';
import { sheetStyle } from '#map-client/map/sheet-style.ts';
import { textureNamed } from '#map-client/map/textures.ts';

/** Every string inside a style expression. */
function stringsIn(value: unknown): string[] {
  if (typeof value === 'string') return [value];
  if (Array.isArray(value)) return value.flatMap(stringsIn);
  return typeof value === 'object' && value !== null ? Object.values(value).flatMap(stringsIn) : [];
}

describe('the sheets', () => {
  it('are one for each stage, in the order of the pipeline', () => {
    expect(SHEETS.map(({ stage }) => stage)).toEqual([...STAGE_IDS]);
  });

  it('show every kind of plan feature on exactly one sheet; the route is drawn from its pieces', () => {
    const shown = SHEETS.flatMap(({ kinds }) => kinds);
    expect([...shown, 'route'].toSorted()).toEqual([...PLAN_KINDS].toSorted());
  });

  it('name each layer once', () => {
    const names = SHEETS.flatMap(({ layers }) => layers(INKS.paper)).map(({ layer }) => layer.id);
    expect(new Set(names).size).toBe(names.length);
  });

  it('use only textures and marks that can be drawn', () => {
    const layers = SHEETS.flatMap((sheet) => sheet.layers(INKS.paper)).flatMap(({ layer }) => stringsIn(layer));
    const keys = SHEETS.flatMap(({ key }) => stringsIn(key.map(({ swatch }) => swatch)));
    const names = [...layers, ...keys].filter((name) => /^(?:fill|mark|edge)-[a-z-]+[a-z]$/.test(name));
    const layerNames = new Set(SHEETS.flatMap((sheet) => sheet.layers(INKS.paper)).map(({ layer }) => layer.id));
    const missing = names.filter((name) => !layerNames.has(name) && textureNamed(name) === undefined);
    expect(missing).toEqual([]);
    expect(names.length).toBeGreaterThan(30);
  });

  it('have an edge mark and a line of the key for everything that can lie beyond', () => {
    const labels = SHEETS.flatMap(({ key }) => key);
    for (const beyond of [...BEYONDS, 'unknown']) {
      expect(textureNamed(`edge-${beyond}`), beyond).toBeDefined();
      expect(
        labels.filter(({ shows }) => shows({ kind: 'edge', beyond })),
        beyond,
      ).toHaveLength(1);
    }
  });
});

describe('the style', () => {
  it('needs nothing from the network: no glyphs, no sprite, no tiles', () => {
    const style = sheetStyle(INKS.paper, {}, 15);
    expect(style.glyphs).toBeUndefined();
    expect(style.sprite).toBeUndefined();
    expect(new Set(Object.values(style.sources).map(({ type }) => type))).toEqual(new Set(['geojson']));
    expect(stringsIn(style).filter((text) => /^https?:|^\/\//.test(text))).toEqual([]);
  });

  it('draws at the first step only what was given, and hides at the last step what belongs to one step alone', () => {
    const visible = (step: number): string[] =>
      sheetStyle(INKS.paper, {}, step)
        .layers.filter(({ layout }) => layout?.visibility === 'visible')
        .map(({ id }) => id);
    expect(visible(0).every((id) => id.startsWith('given-'))).toBe(true);
    expect(visible(0)).toContain('given-lawn');
    expect(visible(15)).toContain('route-line');
    expect(visible(15)).not.toContain('inset-line');
    expect(visible(5)).toContain('inset-line');
  });
});
