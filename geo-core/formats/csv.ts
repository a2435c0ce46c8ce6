import type { Plan, PlanFeature } from '#geo-core/model/plan.ts';
import { positionsOf } from '#geo-core/model/plan-geometry.ts';
import type { PlanFormat } from './plan-format.ts';

const COLUMNS = ['signalUnit', 'chainageM', 'what', 'pass', 'id', 'longitudeDeg', 'latitudeDeg'];

/** The setting-out list: stations, pegs and splices by signal unit and chainage (RFC 4180). */
export const csv: PlanFormat = {
  id: 'csv',
  mediaType: 'text/csv; charset=utf-8; header=present',
  extension: 'csv',
  title: 'CSV: setting-out list',
  write: (plan) => [COLUMNS, ...settingOutRows(plan)].map((row) => `${row.map(cell).join(',')}\r\n`).join(''),
};

type Row = readonly (string | number)[];

function settingOutRows(plan: Plan): Row[] {
  return plan.features
    .flatMap((feature) => {
      const place = placeOf(feature);
      return place === undefined ? [] : [{ ...place, feature }];
    })
    .sort((a, b) => a.signalUnit - b.signalUnit || a.chainageM - b.chainageM)
    .map(({ signalUnit, chainageM, pass, feature }) => {
      const [[lonDeg, latDeg]] = positionsOf(feature.geometry);
      return [signalUnit, chainageM.toFixed(3), feature.properties.kind, pass, feature.id, lonDeg, latDeg];
    });
}

function placeOf({ properties }: PlanFeature): { signalUnit: number; chainageM: number; pass: string } | undefined {
  switch (properties.kind) {
    case 'station':
    case 'splice':
      return { signalUnit: properties.signalUnit, chainageM: properties.chainageM, pass: '' };
    case 'peg':
      return { signalUnit: properties.signalUnit, chainageM: properties.chainageM, pass: properties.pass };
    default:
      return undefined;
  }
}

/**
 * A field: quoted where it must be (RFC 4180, 2.6). Text that a spreadsheet would run as a formula gets an apostrophe in
 * front; numbers, negative ones too, stay as they are.
 */
function cell(value: string | number): string {
  const text = typeof value === 'string' && /^[=+\-@\t\r]/.test(value) ? `'${value}` : String(value);
  return /[",\r\n]/.test(text) ? `"${text.replaceAll('"', '""')}"` : text;
}
