import { expect, test } from 'vitest';
import { geojson } from '#geo-core/formats/geojson.ts';
import { geojsonSeq } from '#geo-core/formats/geojson-seq.ts';
import { goldenPlan } from '../../support/golden-plan.ts';
import { publishedFormats } from '../../support/published-formats.ts';

const published = publishedFormats.geojson_seq_rfc8142;
const plan = goldenPlan();

test('every feature is a record between a separator and a line feed, as the RFC writes its example', () => {
  const text = String(geojsonSeq.write(plan));
  const example = Buffer.from(published.example_hex, 'hex').toString();
  expect(text[0]).toBe(example[0]);
  expect(text.at(-1)).toBe(example.at(-1));
  const records = text.split(example[0]).slice(1);
  expect(records.every((record) => record.endsWith('\n'))).toBe(true);
  expect(records.map((record) => JSON.parse(record))).toEqual(plan.features);
  expect(geojsonSeq.mediaType).toBe(published.media_type);
});

test('GeoJSON is the whole plan', () => {
  expect(JSON.parse(String(geojson.write(plan)))).toEqual(plan);
});
