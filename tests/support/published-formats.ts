import { readFileSync } from 'node:fs';

type PublishedFormats = {
  readonly mvt: {
    readonly command_integers: readonly { id: number; count: number; value: number }[];
    readonly [shape: string]: unknown;
  };
  readonly web_mercator_quad: {
    readonly origin: readonly [number, number];
    readonly max_lat: number;
    readonly tile_ul: readonly { z: number; x: number; y: number; lon: number; lat: number }[];
    readonly rows: readonly {
      name: string;
      lon: number;
      lat: number;
      z: number;
      col: number;
      row: number;
      x3857: number;
      y3857: number;
      mvt_x: number;
      mvt_y: number;
    }[];
  };
  readonly geojson_seq_rfc8142: { readonly media_type: string; readonly example_hex: string };
  readonly icalendar_rfc5545: {
    readonly rows: readonly { rrule: string; local_dates?: string[]; count?: number; first?: string; last?: string }[];
  };
};

/** The published values of `fixtures/reference/formats.json`, each block with its source in the file. */
export const publishedFormats: PublishedFormats = JSON.parse(
  readFileSync(new URL('../../fixtures/reference/formats.json', import.meta.url), 'utf8'),
);
