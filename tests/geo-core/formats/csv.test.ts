import { expect, test } from 'vitest';
import { csv } from '#geo-core/formats/csv.ts';
import { goldenPlan } from '../../support/golden-plan.ts';

const plan = goldenPlan();

function rows(text: string): string[][] {
  return text
    .split('\r\n')
    .slice(0, -1)
    .map((line) => line.split(','));
}

test('lists station, pegs and splices by chainage under a header', () => {
  const [header, ...list] = rows(String(csv.write(plan)));
  expect(header).toEqual(['signalUnit', 'chainageM', 'what', 'pass', 'id', 'longitudeDeg', 'latitudeDeg']);
  expect(list).toHaveLength(plan.summary.pegCount + plan.summary.spliceCount + 1);
  const chainages = list.map((row) => Number(row[1]));
  expect(chainages).toEqual(chainages.toSorted((a, b) => a - b));
  expect(list.find((row) => row[2] === 'splice')?.slice(0, 5)).toEqual(['1', '46.600', 'splice', '', 'splice-1']);
});

test('leaves negative numbers alone but disarms text that a spreadsheet would run', () => {
  const south = goldenPlan(-70, -16.8);
  const armed = {
    ...south,
    features: south.features.map((feature) =>
      feature.properties.kind === 'splice' ? { ...feature, id: '=HYPERLINK("http://example.org","a")' } : feature,
    ),
  };
  const text = String(csv.write(armed));
  expect(text).toContain(`"'=HYPERLINK(""http://example.org"",""a"")",-69.99`);
  expect(text).not.toMatch(/,=/);
});

test('of an empty plan is a header', () => {
  expect(rows(String(csv.write({ ...plan, features: [] })))).toHaveLength(1);
});
