import { beforeAll, describe, expect, test } from 'vitest';
import { writePdf } from '#api/papers/pdf/write-pdf.ts';
import type { Handover } from '#geo-core/index.ts';
import type { PaperDetails } from '#geo-core/model/paper-details.ts';
import { crewSheets } from '#geo-core/papers/crew-sheets.ts';
import { proposal } from '#geo-core/papers/proposal.ts';
import { handover } from '../../support/handover.ts';
import { useKernel } from '../../support/load-kernel.ts';
import { type ReadPdf, readPdf } from '../../support/read-pdf.ts';

useKernel();

const FIRM: PaperDetails = {
  firm: { name: 'Wiesengrund (example)', lines: ['Musterweg 1', '12345 Beispielstadt'], colour: '#3a5a2b' },
  customer: { name: 'Familie Muster' },
  number: 'A-17',
};

const words = ({ pages }: ReadPdf) =>
  pages
    .map(({ text }) => text)
    .join('\n')
    .replace(/\s+/g, ' ');

/** The wire is the longest line of the thick pen (0.7 mm), leads are thinner and double. */
function wireOn({ strokes }: ReadPdf['pages'][number]) {
  const thick = strokes.filter(({ penMm }) => Math.abs(penMm - 0.7) < 0.01);
  return thick.toSorted((a, b) => b.lengthMm - a.lengthMm)[0];
}

function expectToScale(page: ReadPdf['pages'][number], { plan }: Handover): void {
  const scale = Number(/1 : ([\d.,]+)/.exec(page.text)?.[1].replace(/[.,]/g, ''));
  const wire = wireOn(page);
  const expectedM = plan.summary.boundaryLengthM + plan.summary.keepOutLengthM;
  // Places on paper are rounded to 0.01 mm, so each moves by at most 0.0071 mm, and each belongs to two pieces.
  const roundingM = (wire.places * 2 * 0.0071 * scale) / 1000;
  expect(Math.abs((wire.lengthMm * scale) / 1000 - expectedM)).toBeLessThan(roundingM);
  expect(roundingM).toBeLessThan(expectedM / 20);
}

describe('a proposal in German on A4, read by pdf.js', () => {
  let given: Handover;
  let read: ReadPdf;
  let bytes: Uint8Array;
  beforeAll(async () => {
    given = handover('corner-house-with-pond', { locale: 'de-DE', papers: FIRM });
    bytes = await writePdf(proposal(given));
    read = await readPdf(bytes);
  });

  test('names itself, its language and that it is tagged after PDF/UA-1', () => {
    expect(read.title).toBe('Angebot: Corner house with pond');
    expect(read.language).toBe('de-DE');
    expect(read.isTagged).toBe(true);
    expect(read.metadata).toMatch(/<pdfuaid:part>1<\/pdfuaid:part>/);
  });

  test('has a structure of title, headings, lists, tables and a drawing with words in its place', () => {
    const roles = read.pages.flatMap((page) => page.roles);
    for (const role of ['Document', 'H1', 'H2', 'P', 'L', 'LI', 'LBody', 'Table', 'TR', 'TH', 'TD', 'Figure'])
      expect(roles).toContain(role);
    expect(read.pages[0].alternatives.join()).toMatch(/Plan des Gartens.*135,4\u00a0m Draht/);
  });

  test('embeds every font it uses', () => {
    for (const { fonts } of read.pages) {
      expect(fonts.size).toBeGreaterThan(0);
      expect([...fonts].filter(([, isEmbedded]) => !isEmbedded)).toEqual([]);
    }
    const names = new Set(read.pages.flatMap(({ fonts }) => [...fonts.keys()]));
    expect(
      Buffer.from(bytes)
        .toString('latin1')
        .match(/\/FontFile2 /g)?.length,
    ).toBe(names.size);
  });

  test('can be searched: what is included, prices, hours, hand-mow, cautions, acceptance', () => {
    const all = words(read);
    for (const text of [
      'Was enthalten ist',
      'Begrenzungsdraht mit freien Enden',
      'Spule Draht (der Draht ist nach Metern berechnet)',
      'Erfundene Beispielpreise',
      'Mo',
      '08:00–',
      'Streifen an Rändern',
      'Elektrofachkraft',
      'Unterschrift des Kunden',
      '27. Dezember 2026',
      `Seite 1 von ${read.pages.length}`,
    ])
      expect(all).toContain(text);
  });

  test('says the total of the take-off as money of the locale', () => {
    const total = new Intl.NumberFormat('de-DE', { style: 'currency', currency: 'EUR' }).format(
      given.plan.summary.priceTotal,
    );
    expect(words(read)).toContain(total.replace('\u00a0', ' '));
  });

  test('draws the wire to the scale it states', () => expectToScale(read.pages[0], given));

  test('is A4 on every page, and no page is empty', () => {
    for (const { width, height, text } of read.pages) {
      expect([width, height].map((mm) => Math.round(mm))).toEqual([210, 297]);
      expect(text.length).toBeGreaterThan(200);
    }
  });

  test('has the same bytes when it is written again', async () => {
    const [once, again] = [await writePdf(proposal(given)), await writePdf(proposal(given))];
    expect(Buffer.from(once).equals(Buffer.from(again))).toBe(true);
  });
});

test('a proposal in feet is on Letter and to an engineer’s scale', async () => {
  const given = handover('house-with-lawn-on-three-sides', { locale: 'en-US', units: 'us', papers: FIRM });
  const read = await readPdf(await writePdf(proposal(given)));
  expect([read.pages[0].width, read.pages[0].height]).toEqual([expect.closeTo(215.9, 1), expect.closeTo(279.4, 1)]);
  expect(read.pages[0].text).toMatch(/1 in = \d+ ft\) on Letter/);
  expect(words(read)).toContain('ft²');
  expectToScale(read.pages[0], given);
});

test('options stand side by side with their own figures', async () => {
  const first = handover('corner-house-with-pond');
  const other = handover('corner-house-with-pond', { rules: 'two-distance' });
  const read = await readPdf(await writePdf(proposal({ ...first, options: [{ name: 'Closer', plan: other.plan }] })));
  const all = words(read);
  expect(all).toContain('Options side by side');
  expect(all).toMatch(/default Closer/);
  expect(all).toContain(`${other.plan.summary.routeLengthM.toFixed(1)} m`);
});

test('a plan that says stop is no offer: it says so, and nobody can sign it', async () => {
  const given = handover('corner-house-with-pond');
  const stop = { ...given.plan.findings[0], severity: 'stop', message: 'Something stops.' } as const;
  const read = await readPdf(
    await writePdf(proposal({ ...given, plan: { ...given.plan, findings: [stop, ...given.plan.findings] } })),
  );
  expect(read.pages[0].text.replace(/\s+/g, ' ')).toContain('Not ready to be accepted');
  expect(words(read)).toContain('Something stops.');
  expect(words(read)).not.toContain('Signature of the customer');
});

describe('crew sheets over several sheets', () => {
  let given: Handover;
  let read: ReadPdf;
  const isAcross = ({ width, height }: ReadPdf['pages'][number]) => width > height;
  beforeAll(async () => {
    given = handover('three-lawns-and-their-necks', { papers: FIRM });
    read = await readPdf(await writePdf(crewSheets(given)));
  });

  test('draw the wire on every sheet to the one scale, with the sheets they join', () => {
    const sheets = read.pages.filter(isAcross);
    expect(sheets.length).toBeGreaterThan(2);
    for (const [i, sheet] of sheets.entries()) {
      expectToScale(sheet, given);
      expect(sheet.text).toContain(`Sheet ${i + 1} of ${sheets.length}`);
      expect(sheet.text).toMatch(/joins sheet \d/);
    }
  });

  test('list every trial peg, splice and station once', () => {
    const all = words(read);
    const pegs = given.plan.features.filter(
      ({ properties }) => properties.kind === 'peg' && properties.pass === 'trial',
    );
    expect(all.match(/\d+ ?peg /g)?.length).toBe(pegs.length);
    expect(all).toMatch(/S1 ?station/);
  });

  test('expect the resistance of copper at every temperature of the ground', () => {
    const [route] = given.plan.features.flatMap(({ properties }) => (properties.kind === 'route' ? [properties] : []));
    const [order] = given.plan.takeoff.wire;
    const laidM = (order.groundLengthM ?? order.lengthM) + order.cornersM + order.endsM;
    const at = (temperatureC: number) =>
      (route.resistanceOhm * laidM * (1 + 0.00393 * (temperatureC - 20))) / route.lengthM;
    const all = words(read);
    for (const temperatureC of [0, 20, 30])
      expect(all).toContain(`${temperatureC} °C${' '}${at(temperatureC).toFixed(2)} Ω`);
  });
});

describe('a hostile profile', () => {
  test('is text and nothing else, however it is written and however long', async () => {
    const firm = {
      name: `<script>alert(1)</script> & "Söhne" ${'W'.repeat(80)}`,
      lines: Array.from({ length: 8 }, () => ')>> endobj <</JS (app.alert(1)) >>'.padEnd(120, 'x')),
    };
    const given = handover('corner-house-with-pond', { name: '漢字 Ωmega Żółw Ёж \u202e\u0007', papers: { firm } });
    const bytes = await writePdf(proposal(given));
    const read = await readPdf(bytes);
    expect(Buffer.from(bytes).toString('latin1')).not.toMatch(/\/JavaScript|\/JS[ (]|\/OpenAction|\/URI/);
    expect(read.pages[0].text).toContain('<script>alert(1)</script>');
    // Letters that no face has are question marks; those of other alphabets are there.
    expect(read.pages[0].text).toContain('?? Ωmega Żółw Ёж');
  });
});
