import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type {
  DerivedLawn,
  EdgedPolygon,
  LaidLoops,
  SlopeSurvey,
  Upkeep,
  Zone,
  ZonedArea,
} from '#geo-core/model/plane-plan.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { PlaneSite, QuietHours } from '#geo-core/model/site.ts';
import { spoken } from '#geo-core/model/spoken.ts';
import { polygonPerimeterM } from '#geo-core/plane/measure.ts';
import { mowingShare } from '#geo-core/upkeep/battery.ts';
import { cornerPatches } from '#geo-core/upkeep/corner-patches.ts';
import {
  fieldCapacityM2PerH,
  meanFreeRunM,
  mowingH,
  passesForShare,
  randomCoveredShare,
} from '#geo-core/upkeep/coverage.ts';
import { handMow } from '#geo-core/upkeep/hand-mow.ts';
import { minutesOfDay, mowingWindows } from '#geo-core/upkeep/mowing-windows.ts';
import { weekSchedule } from '#geo-core/upkeep/week-schedule.ts';

export type PlanUpkeepInput = {
  readonly site: PlaneSite;
  readonly lawn: DerivedLawn;
  readonly edges: readonly EdgedPolygon[];
  readonly loops: LaidLoops;
  readonly zones: ZonedArea;
  readonly slope: SlopeSurvey | undefined;
};

/** Share of the ground that random runs should cut in a week before it is worth a word. Common practice, no source. */
const WEEKLY_SHARE = 0.9;

/**
 * Zones and machine -> hours a week, a weekly schedule, and the grass left for the hand.
 *
 * Hours count the clock from the first start to the last return: area x passes / (speed x width x efficiency) on the grass, divided
 * by the share of time that is not charging, run / (run + charge). They cover the zones that the machine reaches by itself; an
 * isolated zone is mown too, but somebody carries the machine there, so it is a finding and not in the schedule.
 */
export function planUpkeep(input: PlanUpkeepInput, rules: Rules): Staged<Upkeep> {
  const { site, zones } = input;
  const findings: Finding[] = [];
  const own = zones.zones.filter(({ connectivity }) => connectivity !== 'isolated');
  const zoneHours = own.map((zone) => ({ zone: zone.id, hours: clockHours(zone, rules) }));
  const hoursPerWeek = zoneHours.reduce((sum, { hours }) => sum + hours, 0);
  const windows = mowingWindows(site.quiet);
  const weekH = windows.flat().reduce((sum, { fromMin, toMin }) => sum + (toMin - fromMin) / 60, 0);
  sayUnreadableQuiet(site.quiet, findings);
  if (hoursPerWeek > weekH) findings.push(weekTooShort(hoursPerWeek, weekH));
  sayCarried(zones, rules, findings);
  for (const zone of own) sayShortRuns(zone, rules, findings);
  if (own.length > 0) sayThinCover(rules, findings);
  return {
    output: {
      hoursPerWeek,
      handMow: leftForHand(input, rules),
      schedule: weekSchedule(zoneHours, windows, rules.passesPerWeek),
    },
    findings,
  };
}

function clockHours(zone: Zone, rules: Rules): number {
  const capacity = fieldCapacityM2PerH(rules.speedMps, rules.cuttingWidthM, rules.efficiency);
  return mowingH(zone.areaM2, rules.passesPerWeek, capacity) / mowingShare(rules.runMin, rules.chargeMin);
}

function leftForHand({ site, lawn, edges, loops, zones, slope }: PlanUpkeepInput, rules: Rules): Upkeep['handMow'] {
  return handMow({
    lawn: lawn.lawn,
    keepOuts: lawn.keepOuts.flatMap(({ polygons }) => polygons),
    workingArea: loops.workingArea,
    zones: zones.zones.flatMap(({ polygons }) => polygons),
    steep: rules.excludeSteep && slope !== undefined ? slope.steep : [],
    reachM: rules.reachBeyondWireM,
    discM: rules.cuttingWidthM,
    corners: cornerPatches(edges, rules.chamferLegM),
    edgeStripM: widestStripM(rules),
    gridM: site.gridM,
  });
}

/** A chamfered square corner lies sqrt 2 (offset + leg / 2) from its wire: farther grass is no strip along the wire. */
function widestStripM(rules: Rules): number {
  return Math.SQRT2 * (Math.max(...Object.values(rules.offsetsM)) + rules.chamferLegM / 2);
}

function weekTooShort(hoursPerWeek: number, weekH: number): Finding {
  return {
    code: 'plan-upkeep.week-too-short',
    severity: 'caution',
    message: `The machine needs ${hoursPerWeek.toFixed(1)} h a week with charging, but daylight outside quiet hours leaves ${weekH.toFixed(1)} h.`,
    advice: 'Take a wider or faster machine, a second one, fewer passes, or shorten the quiet hours.',
    value: hoursPerWeek,
    limit: weekH,
    unit: 'h',
  };
}

/** One finding for all zones that somebody must carry the machine to, at the largest. */
function sayCarried({ zones }: ZonedArea, rules: Rules, findings: Finding[]): void {
  const cutOff = zones.filter(({ connectivity }) => connectivity === 'isolated');
  if (cutOff.length === 0) return;
  const largest = cutOff.reduce((best, zone) => (zone.areaM2 > best.areaM2 ? zone : best));
  const hours = cutOff.reduce((sum, zone) => sum + clockHours(zone, rules), 0);
  findings.push({
    code: 'plan-upkeep.carried-by-hand',
    severity: 'note',
    message: `Mowing ${cutOff.map(({ id }) => spoken(id)).join(', ')} takes ${hours.toFixed(1)} h a week that the schedule leaves out: somebody must carry the machine there.`,
    advice: 'Agree with the customer who carries it, or widen the way there.',
    value: hours,
    unit: 'h',
    at: largest.widestAt,
    subject: largest.id,
  });
}

function sayShortRuns(zone: Zone, rules: Rules, findings: Finding[]): void {
  const perimeterM = zone.polygons.reduce((sum, polygon) => sum + polygonPerimeterM(polygon), 0);
  const runM = meanFreeRunM(zone.areaM2, perimeterM);
  if (!(runM < rules.mowWidthM)) return;
  findings.push({
    code: 'plan-upkeep.short-runs',
    severity: 'note',
    message: `In ${spoken(zone.id)} a straight run is ${runM.toFixed(1)} m long on average: the machine turns there more than it mows.`,
    advice: 'Allow more hours there, or mow it by hand.',
    value: runM,
    limit: rules.mowWidthM,
    unit: 'm',
    at: zone.widestAt,
    subject: zone.id,
  });
}

function sayThinCover(rules: Rules, findings: Finding[]): void {
  const share = randomCoveredShare(rules.passesPerWeek);
  if (share >= WEEKLY_SHARE) return;
  const passes = passesForShare(WEEKLY_SHARE).toFixed(1);
  findings.push({
    code: 'plan-upkeep.thin-cover',
    severity: 'note',
    message: `With ${rules.passesPerWeek} passes a week a machine that drives at random cuts ${(100 * share).toFixed(0)} % of the ground once a week.`,
    advice: `Plan ${passes} passes for ${100 * WEEKLY_SHARE} %, unless the machine mows in lanes.`,
    value: 100 * share,
    limit: 100 * WEEKLY_SHARE,
    unit: '%',
  });
}

function sayUnreadableQuiet(quiet: readonly QuietHours[], findings: Finding[]): void {
  quiet.forEach(({ from, to }, i) => {
    if (minutesOfDay(from) !== undefined && minutesOfDay(to) !== undefined) return;
    findings.push({
      code: 'plan-upkeep.quiet-not-readable',
      severity: 'caution',
      message: `Quiet hours from '${from}' to '${to}' cannot be read and are not kept.`,
      advice: "Give clock times as 'HH:MM', for example '13:00'.",
      subject: `/quiet/${i}`,
    });
  });
}
