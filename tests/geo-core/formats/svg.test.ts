import { describe, expect, test } from 'vitest';
import { svg } from '#geo-core/formats/svg.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import { goldenPlan } from '../../support/golden-plan.ts';

const plan = goldenPlan();
const sheet = drawn(plan);

function drawn(of: Plan): string {
  return String(svg.write(of));
}

/** All words on the sheet. */
function words(of: string): string[] {
  return [...of.matchAll(/<text[^>]*>([^<]*)<\/text>/g)].map(([, text]) => text);
}

/** Length of the thick line in millimetres on the sheet, pen jumps not counted. */
function wireMm(of: string): number {
  const [, d] = of.match(/<path d="([^"]*)"[^>]*stroke-width="0.7"/) ?? [];
  let length = 0;
  let before: [number, number] | undefined;
  for (const [, command, x, y] of (d ?? '').matchAll(/([ML])(\S+?) ([\d.]+)/g)) {
    const at: [number, number] = [Number(x), Number(y)];
    if (command === 'L' && before) length += Math.hypot(at[0] - before[0], at[1] - before[1]);
    before = at;
  }
  return length;
}

function expectWellFormed(of: string): void {
  const open: string[] = [];
  for (const [, closing, name, empty] of of.matchAll(/<(\/?)([a-z][\w:]*)(?:\s+[\w:-]+="[^"<]*")*\s*(\/?)>/gi)) {
    if (closing) expect(open.pop()).toBe(name);
    else if (!empty) open.push(name);
  }
  expect(open).toEqual([]);
  expect(of.replace(/<\?xml[^>]*\?>/, '').replace(/<\/?[a-z][\w:]*(?:\s+[\w:-]+="[^"<]*")*\s*\/?>/gi, '')).not.toMatch(
    /[<>]/,
  );
}

describe('the sheet of the golden garden', () => {
  test('is well-formed, complete in itself, and the same every time', () => {
    expectWellFormed(sheet);
    expect(sheet.replace('http://www.w3.org/2000/svg', '')).not.toMatch(/href|http|<script|<style/);
    expect(drawn(goldenPlan())).toBe(sheet);
  });

  test('is drawn to the scale that it says: 68 m of boundary and keep-out wire at 1 : 75', () => {
    expect(words(sheet)).toContain('1 : 75 on A3');
    expect((wireMm(sheet) * 75) / 1000).toBeCloseTo(57.6 + 10.4, 2);
  });

  test('is drawn to the same scale across the antimeridian', () => {
    const far = drawn(goldenPlan(179.9999, -16.8));
    expectWellFormed(far);
    expect(words(far)).toContain('1 : 75 on A3');
    expect((wireMm(far) * 75) / 1000).toBeCloseTo(57.6 + 10.4, 2);
  });

  test('writes dimensions, names and chainage on the plan', () => {
    const all = words(sheet);
    for (const label of ['3.40 m', 'Zone 1', 'Charging station', 'supply cable 3.3 m', 'splice, 46.6 m', '30']) {
      expect(all).toContain(label);
    }
  });

  test('lists in the legend what is there and nothing else', () => {
    const all = words(sheet);
    for (const entry of ['lead, two wires', 'keep-out or bay', 'mow by hand', 'limit between zones', 'splice']) {
      expect(all).toContain(entry);
    }
    for (const entry of ['steep ground', 'weak signal', 'place of a note']) expect(all).not.toContain(entry);
  });

  test('says the figures, the rule set, the audit and the cautions', () => {
    const all = words(sheet);
    for (const figure of ['175.6 m²', '74.8 m', '0.99 Ω', 'golden', `passed, ${plan.audit.checks.length} checks`])
      expect(all).toContain(figure);
    expect(all.join(' ')).toContain('Local codes and the manual of the machine come first');
  });
});

test('stops and cautions with a place are numbered on the plan and in the notes', () => {
  const [finding] = plan.findings;
  const flagged = words(drawn({ ...plan, findings: [{ ...finding, severity: 'caution' }] }));
  expect(flagged).toContain('place of a note');
  expect(flagged.filter((word) => word === '1').length).toBeGreaterThanOrEqual(2);
});

test('notes that have no room are counted', () => {
  const [finding] = plan.findings;
  const many = words(drawn({ ...plan, findings: Array.from({ length: 40 }, () => ({ ...finding, at: null })) }));
  const more = many.find((word) => word.endsWith('more in the plan.'));
  const shown = many.filter((word) => word.startsWith('Nothing is said about')).length;
  expect(Number.parseInt(more ?? '', 10) + shown).toBe(40);
});

test('a name is text, whatever it holds', () => {
  const named = drawn({ ...plan, name: '</text><script>"&\u0007' });
  expectWellFormed(named);
  expect(named).not.toContain('<script');
  expect(words(named)).toContain('&lt;/text&gt;&lt;script&gt;&quot;&amp;');
});

test('a plan that failed its audit is not drawn, and the sheet says so', () => {
  const { bbox: _, ...failed } = { ...plan, features: [], audit: { ...plan.audit, passed: false } };
  const all = words(drawn(failed));
  expect(all).toContain('No wire is drawn: the plan did not pass its audit.');
  expect(all).toContain('FAILED: not a plan to lay');
  expect(all).not.toContain('Legend');
});
