import Big from 'big.js';
import type { Peg, SettingOut, SitedStations } from '#geo-core/model/plane-plan.ts';
import { PRICE_BOOK, type PriceCode } from '#geo-core/model/price-book.ts';
import type { WireOrder } from '#geo-core/model/take-off.ts';
import { lineLengthM } from '#geo-core/plane/measure.ts';
import { decimalMetres } from './decimal-metres.ts';
import type { Labour } from './take-labour.ts';

/** Metres, pieces and hours by code. A charging station drives the wire of its own route; every other route needs a signal unit. */
export function takeQuantities(
  stations: SitedStations,
  settingOut: SettingOut,
  wire: readonly WireOrder[],
  labour: readonly Labour[],
): ReadonlyMap<PriceCode, Big> {
  const charging = stations.stations.filter(({ role }) => role === 'charging').length;
  const soft = pegsOver(settingOut, 'soft');
  const hard = pegsOver(settingOut, 'hard');
  const crossedM = settingOut.stretches.reduce(
    (sum, { over, shared, fromM, toM }) => (over === 'crossing' && !shared ? sum + (toM - fromM) : sum),
    0,
  );
  const cableM = stations.supplyCable === undefined ? 0 : lineLengthM(stations.supplyCable);
  const counts = new Map<PriceCode, Big>([
    ['wire', metresUp(wire.reduce((sum, { orderM }) => sum + orderM, 0))],
    ['spool', new Big(settingOut.spoolCount)],
    ['peg', new Big(settingOut.pegs.length - soft - hard)],
    ['peg-soft-ground', new Big(soft)],
    ['peg-hard-ground', new Big(hard)],
    ['splice', new Big(settingOut.splices.length)],
    ['end-connector', new Big(2 * wire.length)],
    ['supply-cable', metresUp(cableM)],
    ['conduit', metresUp(crossedM)],
    ['station-screws', new Big(charging)],
    ['signal-unit', new Big(Math.max(0, wire.length - charging))],
    ['warning-sign', new Big(wire.length)],
  ]);
  for (const { code, group } of PRICE_BOOK.items) {
    if (group !== 'labour') continue;
    const hours = labour.reduce((sum, item) => (item.code === code ? sum.plus(item.exactHours) : sum), new Big(0));
    counts.set(code, hours.round(2, Big.roundUp));
  }
  return counts;
}

/** Lengths are ordered in hundredths, rounded up. */
function metresUp(lengthM: number): Big {
  return decimalMetres(lengthM).round(2, Big.roundUp);
}

/** Pegs that stand in a stretch of that ground; one between two stretches belongs to the first. */
function pegsOver({ pegs, stretches }: SettingOut, ground: 'soft' | 'hard'): number {
  const own = stretches.filter(({ over }) => over === ground);
  if (own.length === 0) return 0;
  const stands = ({ signalUnit, chainageM }: Peg): boolean =>
    stretches.find((one) => one.signalUnit === signalUnit && one.fromM <= chainageM && chainageM <= one.toM)?.over ===
    ground;
  return pegs.filter(stands).length;
}
