import type { Rules } from '#geo-core/model/rules.ts';
import { brokenOf, type Check, type Comfort, type KnownPlace, type StationRule } from './rated-place.ts';
import { SIGHT_REACH_M } from './road-sight.ts';

/** What a broken rule says of a place, and what to do about it. */
type Wording = { readonly says: (broken: Check) => string; readonly advice: string };

const figures = ({ value = 0, limit = 0 }: Check): string => `${metres(value)} of ${metres(limit)} m`;

const WORDINGS: Readonly<Record<StationRule, Wording>> = {
  'straight-before': {
    says: (broken) => `only ${figures(broken)} straight wire before it`,
    advice: 'Move the station along the wire, or straighten the lawn edge before it.',
  },
  'straight-behind': {
    says: (broken) => `only ${figures(broken)} straight wire behind it`,
    advice: 'Move the station along the wire, or straighten the lawn edge behind it.',
  },
  corner: {
    says: (broken) => `only ${figures(broken)} to the next corner of the wire`,
    advice: 'Move the station out of the corner.',
  },
  sprinkler: {
    says: (broken) => `${metres(broken.value ?? 0)} m from a sprinkler that throws ${metres(broken.limit ?? 0)} m`,
    advice: 'Move the station out of the throw, or set the sprinkler to another sector.',
  },
  zone: {
    says: () => 'not in the zone the machine works from',
    advice: 'Move the station to the largest zone, or have the other zones mown from where it stands.',
  },
  passage: {
    says: () => 'beside ground too narrow to be mown',
    advice: 'Move the station to where the machine can turn in front of it.',
  },
  hazard: {
    says: (broken) => `only ${figures(broken)} from a drop or water`,
    advice: 'Move the station away from the drop or the water, or fence that edge.',
  },
  'no-wire': {
    says: () => 'on ground where nothing may be laid',
    advice: 'Move the station off that ground.',
  },
  cable: {
    says: ({ value, limit }) =>
      value === undefined || limit === undefined
        ? 'no way for the supply cable from an outlet'
        : `${metres(value)} m of supply cable, over ${metres(limit)} m`,
    advice: 'Have an electrician set an outlet nearer to it, by local rules.',
  },
  voltage: {
    says: ({ value = 0, limit = 0 }) =>
      `${value.toFixed(1)} % of the voltage lost on the supply cable, over ${limit} %`,
    advice: 'Take a thicker supply cable, or have an outlet set nearer to it.',
  },
  slope: {
    says: ({ value = 0, limit = 0 }) => `slope of ${value.toFixed(1)} %, over ${limit} %`,
    advice: 'Level the ground under the station, or move it to level ground.',
  },
  'clear-front': {
    says: (broken) => `only ${figures(broken)} of clear ground in front of it`,
    advice: 'Move the station to where the machine has room to drive up to it.',
  },
};

export function sayBroken(broken: Check): string {
  return WORDINGS[broken.rule].says(broken);
}

export function adviseOn(rule: StationRule): string {
  return WORDINGS[rule].advice;
}

/** The reasons for a place in words with figures: what it breaks first, then what speaks for or against it. */
export function reasonsFor(place: KnownPlace, rules: Rules): string[] {
  const { beforeM, behindM, comforts, checks } = place;
  const broken = brokenOf(place.checks);
  const isBroken = (rule: StationRule): boolean => broken.some((each) => each.rule === rule);
  const kept = (rule: StationRule): Check | undefined =>
    checks.find((each) => each.rule === rule && each.missing === 0);
  const voltage = kept('voltage');
  const [front, hazard] = [kept('clear-front'), kept('hazard')];
  return [
    ...broken.map(sayBroken),
    ...comforts.flatMap((comfort) => (comfort.of === 'cable' && !isBroken('cable') ? sayComfort(comfort, rules) : [])),
    ...(voltage === undefined
      ? []
      : [`${(voltage.value ?? 0).toFixed(1)} % of the voltage lost on it, ${voltage.limit} % allowed`]),
    `${metres(beforeM)} m straight wire before it, ${metres(behindM)} m behind it`,
    ...(front === undefined
      ? []
      : [`${metres(front.value ?? 0)} m of clear ground in front of it, ${front.limit} m needed`]),
    ...(hazard === undefined
      ? []
      : [`${metres(hazard.value ?? 0)} m or more from drops and water, ${hazard.limit} m needed`]),
    ...comforts.flatMap((comfort) => (comfort.of === 'cable' ? [] : sayComfort(comfort, rules))),
  ];
}

function sayComfort({ of, value }: Comfort, rules: Rules): string[] {
  if (value === null) return [];
  switch (of) {
    case 'cable':
      return [`${metres(value)} m of supply cable, ${rules.supplyCableMaxM} m allowed`];
    case 'straight':
      return [];
    case 'shelter':
      return [`sheltered: ${metres(value)} m from a wall, fence, hedge or house`];
    case 'road':
      return [
        value === 0
          ? `hidden: not seen from a road within ${SIGHT_REACH_M} m`
          : `seen from ${value.toFixed(0)} % of the road within ${SIGHT_REACH_M} m`,
      ];
    case 'shade':
      return [`in shade for ${value.toFixed(0)} % of the sun hours of the mowing season`];
    case 'central':
      return [`${metres(value)} m from the middle of the zones`];
    case 'bedroom':
      return [`${metres(value)} m from the wall of a bedroom`];
    case 'neighbour':
      return [`${metres(value)} m from the edge of the parcel`];
    case 'hollow':
      return [`in a hollow: rain stands ${(100 * value).toFixed(0)} cm deep before it runs off`];
    case 'level':
      return [`slope of ${value.toFixed(1)} % under it and before it, ${rules.slopeAtStationMaxPct} % allowed`];
  }
}

function metres(lengthM: number): string {
  return lengthM.toFixed(1);
}
