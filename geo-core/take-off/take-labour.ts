import Big from 'big.js';
import type { JoinedRoute, SettingOut, SitedStations } from '#geo-core/model/plane-plan.ts';
import { HOURS, type HourRate } from '#geo-core/model/price-book.ts';
import type { LabourItem, LaidStretch } from '#geo-core/model/take-off.ts';
import { lineLengthM } from '#geo-core/plane/measure.ts';
import { decimalMetres } from './decimal-metres.ts';

export type LabourInput = {
  readonly route: JoinedRoute;
  readonly stations: SitedStations;
  readonly settingOut: SettingOut;
};

/** An item of labour with its hours as an exact decimal. */
export type Labour = LabourItem & { readonly exactHours: Big };

/** Work by activity and ground, each kind once, without those of which there is nothing to do. */
export function takeLabour(input: LabourInput, hours: Readonly<Record<HourRate, Big>>): Labour[] {
  const { route, stations, settingOut } = input;
  const laid = settingOut.stretches.filter(({ shared }) => !shared);
  const lengthM = (of: (stretch: LaidStretch) => boolean): Big => decimalMetres(sumM(laid.filter(of)));
  const charging = stations.stations.filter(({ role }) => role === 'charging').length;
  const keepOuts = settingOut.parts.filter(({ of }) => of === 'keep-out').length;
  const cableM = stations.supplyCable === undefined ? 0 : lineLengthM(stations.supplyCable);
  const quantities: Readonly<Record<HourRate, Big>> = {
    settingOutPerM: lengthM(() => true),
    layingSoftPerM: lengthM(({ over }) => over === 'soft'),
    layingFirmPerM: lengthM(({ over }) => over === 'firm'),
    layingHardPerM: lengthM(({ over }) => over === 'hard'),
    perSplice: new Big(settingOut.splices.length),
    crossingPerM: lengthM(({ over }) => over === 'crossing'),
    perKeepOutLoop: new Big(keepOuts),
    supplyCablePerM: decimalMetres(cableM),
    perChargingStation: new Big(charging),
    perSignalUnit: new Big(Math.max(0, route.routes.length - charging)),
    commissioningPerRoute: new Big(route.routes.length),
  };
  return RATES.flatMap((rate): Labour[] => {
    const quantity = quantities[rate];
    if (quantity.eq(0)) return [];
    const { code, activity, ...rest } = HOURS[rate];
    const exactHours = quantity.times(hours[rate]);
    return [
      {
        code,
        activity,
        ground: 'ground' in rest ? rest.ground : null,
        quantity: quantity.toNumber(),
        unit: rate.endsWith('PerM') ? 'm' : 'piece',
        hoursEach: hours[rate].toNumber(),
        hours: exactHours.toNumber(),
        exactHours,
      },
    ];
  });
}

const RATES = [
  'settingOutPerM',
  'layingSoftPerM',
  'layingFirmPerM',
  'layingHardPerM',
  'perSplice',
  'crossingPerM',
  'perKeepOutLoop',
  'supplyCablePerM',
  'perChargingStation',
  'perSignalUnit',
  'commissioningPerRoute',
] as const satisfies readonly HourRate[];

function sumM(stretches: readonly LaidStretch[]): number {
  return stretches.reduce((sum, { fromM, toM }) => sum + (toM - fromM), 0);
}
