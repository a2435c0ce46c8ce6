import { expect, test } from 'vitest';
import { dxf } from '#geo-core/formats/dxf.ts';
import type { PlanKind } from '#geo-core/model/plan.ts';
import { linesOf, positionsOf } from '#geo-core/model/plan-geometry.ts';
import { goldenPlan } from '../../support/golden-plan.ts';
import { hasGdal, readByGdal } from '../../support/read-by-gdal.ts';

const plan = goldenPlan();
const read = hasGdal
  ? readByGdal(dxf.write(plan), 'dxf', 'entities', ['--config', 'DXF_INLINE_BLOCKS', 'FALSE', '-dim', 'XY'])
  : [];
const onLayer = (kind: string) => read.filter(({ properties }) => properties.Layer === kind);

test.skipIf(!hasGdal)('GDAL (where it is installed) finds every kind on its own layer, marks as blocks', () => {
  const counts = new Map<PlanKind, number>();
  for (const { properties, geometry } of plan.features) {
    const pieces = geometry.type === 'Point' ? 1 : linesOf(geometry).length;
    counts.set(properties.kind, (counts.get(properties.kind) ?? 0) + pieces);
  }
  for (const [kind, count] of counts) expect(onLayer(kind), kind).toHaveLength(count);
  expect(new Set(onLayer('peg').map(({ properties }) => properties.BlockName))).toEqual(new Set(['peg']));
});

test.skipIf(!hasGdal)('the wire is as long in CAD as in the plan: the drawing is in metres', () => {
  const [route] = plan.features.filter(({ properties }) => properties.kind === 'route');
  const at = positionsOf(onLayer('route')[0].geometry);
  const lengthM = at.slice(1).reduce((sum, [x, y], i) => sum + Math.hypot(x - at[i][0], y - at[i][1]), 0);
  // Nine decimals of a degree are 0.1 mm for each vertex.
  expect(lengthM).toBeCloseTo((route.properties as { lengthM: number }).lengthM, 3);
});

test.skipIf(!hasGdal)('the drawing says where its origin lies', () => {
  const [note] = onLayer('note');
  expect(String(note.properties.Text)).toMatch(/^0, 0 = 8\.0001\d{5} E, 50\.0000\d{5} N \(WGS 84\)/);
});
