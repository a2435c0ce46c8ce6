import type { Drawing, DrawnFeature } from './drawing.ts';

/** Lays the visits of a simulated week over the sheet of the mowing, in the place of those of another week. */
export function layVisits(drawing: Drawing, visits: readonly DrawnFeature[]): Drawing {
  const sheet = drawing.sheets['70-plan-upkeep'];
  const planned = sheet.features.filter(({ properties }) => properties.kind !== 'visit-band');
  const features = [...visits, ...planned];
  return { ...drawing, sheets: { ...drawing.sheets, '70-plan-upkeep': { ...sheet, features } } };
}
