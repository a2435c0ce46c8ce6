import type { Rules } from '#geo-core/model/rules.ts';
import type { Broken, RatedPlace, StationRule } from './rate-places.ts';
import { ROAD_REACH_M, SHELTER_REACH_M } from './surroundings.ts';

/** What a broken rule says of a place, and what to do about it. */
type Wording = { readonly says: (broken: Broken) => string; readonly advice: string };

const figures = ({ value = 0, limit = 0 }: Broken): string => `${metres(value)} of ${metres(limit)} m`;

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
  cable: {
    says: ({ value, limit }) =>
      value === undefined || limit === undefined
        ? 'no way for the supply cable from an outlet'
        : `${metres(value)} m of supply cable, over ${metres(limit)} m`,
    advice: 'Have an electrician set an outlet nearer to it, by local rules.',
  },
  slope: {
    says: ({ value = 0, limit = 0 }) => `slope of ${value.toFixed(1)} %, over ${limit} %`,
    advice: 'Level the ground under the station, or move it to level ground.',
  },
};

export function sayBroken(broken: Broken): string {
  return WORDINGS[broken.rule].says(broken);
}

export function adviseOn(rule: StationRule): string {
  return WORDINGS[rule].advice;
}

/** The reasons for a place in words with figures: what it breaks first, then what speaks for it. */
export function reasonsFor(place: RatedPlace, rules: Rules): string[] {
  const { cable, roadM, shelterM, slopePct, beforeM, behindM } = place;
  const straight = `${metres(beforeM)} m straight wire before it, ${metres(behindM)} m behind it`;
  return [
    ...place.broken.map(sayBroken),
    ...(cable === undefined ? [] : [`${metres(cable.lengthM)} m of supply cable, ${rules.supplyCableMaxM} m allowed`]),
    straight,
    ...(shelterM <= SHELTER_REACH_M ? [`sheltered: ${metres(shelterM)} m from a wall, fence, hedge or house`] : []),
    roadM <= ROAD_REACH_M ? `${metres(roadM)} m from the road` : `out of sight: over ${ROAD_REACH_M} m from any road`,
    ...(slopePct === undefined ? [] : [`slope of ${slopePct.toFixed(1)} %, ${rules.slopeAtStationMaxPct} % allowed`]),
  ];
}

function metres(lengthM: number): string {
  return lengthM.toFixed(1);
}
