import { describe, expect, test } from 'vitest';
import { crewSheets } from '#geo-core/papers/crew-sheets.ts';
import { proposal } from '#geo-core/papers/proposal.ts';
import { writeHtml } from '#geo-core/papers/write-html.ts';
import { handover } from '../../support/handover.ts';
import { useKernel } from '../../support/load-kernel.ts';

useKernel();

/** A PNG of one pixel. */
const PIXEL =
  'data:image/png;base64,iVBORw0KGgoAAAANSUhEUgAAAAEAAAABCAQAAAC1HAwCAAAAC0lEQVR42mNk+A8AAQUBAScY42YAAAAASUVORK5CYII=';

describe('the page of a proposal', () => {
  test('needs nothing from anywhere and runs nothing', () => {
    const page = writeHtml(
      proposal(handover('corner-house-with-pond', { papers: { firm: { name: 'A', logo: PIXEL } } })),
    );
    expect(page).not.toMatch(/<script|<link|<iframe|url\((?!#|data:)|(src|href)="(?!data:)/);
    expect(page).toContain(`<img src="${PIXEL}" alt="A"/>`);
  });

  test('takes names for text, whatever they hold', () => {
    const hostile = '"><script>alert(1)</script><img src=x onerror=alert(2)>';
    const given = handover('corner-house-with-pond', {
      name: hostile,
      papers: {
        firm: { name: hostile, lines: [hostile] },
        customer: { name: hostile, lines: [hostile] },
        number: '<b>',
      },
    });
    for (const page of [writeHtml(proposal(given)), writeHtml(crewSheets(given))]) {
      expect(page).not.toMatch(/<script|<img/);
      expect(page).toContain('&lt;script&gt;alert(1)&lt;/script&gt;');
    }
  });

  test('speaks the language of the site, and says where findings do not', () => {
    const page = writeHtml(proposal(handover('corner-house-with-pond', { locale: 'fr-FR' })));
    expect(page).toMatch(/^<!doctype html>\n<html lang="fr-FR">/);
    expect(page).toContain('Le planificateur n’écrit ces remarques qu’en anglais');
    expect(page).toContain('<li lang="en"');
  });

  test('lists every finding that is more than a note', () => {
    const given = handover('garden-of-traps');
    const page = writeHtml(proposal(given));
    const told = given.plan.findings.filter(
      ({ severity, code }) => severity !== 'note' && code !== 'take-off.example-prices',
    );
    expect(told.length).toBeGreaterThan(0);
    for (const { message } of told) expect(page).toContain(message.replaceAll('"', '&quot;'));
  });
});

test('papers can be made of a plan in which nothing is planned', () => {
  const given = handover('corner-house-with-pond');
  const { bbox: _, ...plan } = { ...given.plan, features: [], schedule: [] };
  for (const make of [proposal, crewSheets]) {
    const page = writeHtml(make({ ...given, plan, site: { features: [] } }));
    expect(page).not.toMatch(/NaN|Infinity|undefined/);
  }
});
