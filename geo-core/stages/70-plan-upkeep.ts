import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type {
  CarryTime,
  DerivedLawn,
  EdgedPolygon,
  LaidLoops,
  SeasonWeek,
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
import { carryTimes } from '#geo-core/upkeep/carry-times.ts';
import { cornerPatches } from '#geo-core/upkeep/corner-patches.ts';
import { meanFreeRunM, passesForShare, randomCoveredShare } from '#geo-core/upkeep/coverage.ts';
import { cutsPerWeek, mowBeforeMm } from '#geo-core/upkeep/cutting-height.ts';
import { type DaylightPlace, dayWindow } from '#geo-core/upkeep/daylight.ts';
import { type GrowthCurve, growthCurve } from '#geo-core/upkeep/growth-curve.ts';
import { handMow } from '#geo-core/upkeep/hand-mow.ts';
import { minutesOfDay, mowingWindows, prolonged, WHOLE_DAY } from '#geo-core/upkeep/mowing-windows.ts';
import { seasonWeeks } from '#geo-core/upkeep/season-weeks.ts';
import { clockHours, mowingHours } from '#geo-core/upkeep/zone-hours.ts';

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

const MONTH_WEEKS = 365.25 / 12 / 7;

/**
 * Zones and machine -> hours a week, the weekly schedule of every season, and the grass left for the hand.
 *
 * Hours count the clock from the first start to the last return: area x passes / (speed x width x efficiency) on the grass and laps
 * along the edge, divided by the share of time that is not charging, run / (run + charge). They cover the zones that the machine
 * reaches by itself in a week of full growth; an isolated zone is mown too, but somebody carries the machine there.
 */
export function planUpkeep(input: PlanUpkeepInput, rules: Rules): Staged<Upkeep> {
  const { site, zones } = input;
  const findings: Finding[] = [];
  const own = zones.zones.filter(({ connectivity }) => connectivity !== 'isolated');
  const zoneHours = own.map((zone) => ({ zone: zone.id, hours: clockHours(zone, input.slope, rules) }));
  const hoursPerWeek = zoneHours.reduce((sum, { hours }) => sum + hours, 0);
  const { originLatDeg: latDeg, originLonDeg: lonDeg } = site.plane;
  const growth = growthCurve(site.growth, latDeg);
  const quiet = [...site.quiet, ...prolonged(site.watering ?? [], rules.dryingMin)];
  const place = { latDeg, lonDeg, ...(site.timeZone !== undefined && { timeZone: site.timeZone }) };
  const { daylightOnly, sunClearMin, passesPerWeek: sessions, edgeLapsPerWeek: edgeLaps } = rules;
  const seasons = seasonWeeks({ zoneHours, growth, quiet, place, daylightOnly, sunClearMin, sessions, edgeLaps });
  const full = seasons.reduce<(typeof seasons)[number] | undefined>(
    (best, week) => (best !== undefined && !isFuller(week, best) ? best : week),
    undefined,
  );
  sayUnreadable(site, findings);
  const short = [...(full === undefined ? [] : [full]), ...seasons].find((week) => week.hoursPerWeek > week.windowH);
  if (short !== undefined) findings.push(weekTooShort(short));
  sayCarried(zones, rules, findings);
  for (const zone of own) sayShortRuns(zone, rules, findings);
  if (own.length > 0) sayThinCover(rules, findings);
  if (own.length > 0) sayRareCuts(growth, rules, findings);
  return {
    output: {
      hoursPerWeek,
      handMow: leftForHand(input, rules),
      schedule: full?.schedule ?? [],
      seasons: own.length === 0 ? [] : seasons,
      carries: carriesOf(zones, full, quiet, place, rules),
      energyKwhPerYear: own.length === 0 ? 0 : energyKwh(seasons, rules),
    },
    findings,
  };
}

function isFuller(week: SeasonWeek, than: SeasonWeek): boolean {
  return week.growthShare === than.growthShare ? week.windowH > than.windowH : week.growthShare > than.growthShare;
}

/** Charging takes its share of the hours at the voltage and current of the supply; signal unit and station draw all year. */
function energyKwh(seasons: readonly SeasonWeek[], rules: Rules): number {
  const weeksH = seasons.reduce((sum, { months, hoursPerWeek }) => sum + months.length * MONTH_WEEKS * hoursPerWeek, 0);
  const chargingH = weeksH * (1 - mowingShare(rules.runMin, rules.chargeMin));
  return (chargingH * rules.supplyV * rules.supplyA + 365.25 * 24 * rules.signalPowerW) / 1000;
}

function carriesOf(
  { zones }: ZonedArea,
  full: SeasonWeek | undefined,
  quiet: readonly QuietHours[],
  place: DaylightPlace,
  rules: Rules,
): readonly CarryTime[] {
  const carried = zones
    .filter(({ connectivity }) => connectivity === 'isolated')
    .map((zone) => ({ zone: zone.id, mowingH: mowingHours(zone, rules) }));
  if (carried.length === 0 || full === undefined) return [];
  const [month] = full.months;
  const light = rules.daylightOnly ? dayWindow(month - 1, place, rules.sunClearMin) : WHOLE_DAY;
  return carryTimes(carried, full.schedule, light === undefined ? [] : mowingWindows(quiet, light), rules.runMin);
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

function weekTooShort({ months, hoursPerWeek, windowH }: SeasonWeek): Finding {
  return {
    code: 'plan-upkeep.week-too-short',
    severity: 'caution',
    message: `The machine needs ${hoursPerWeek.toFixed(1)} h a week with charging in month ${months[0]}, but quiet hours, sprinklers and darkness leave ${windowH.toFixed(1)} h.`,
    advice: 'Take a wider or faster machine, a second one, fewer passes, or shorten the quiet hours.',
    value: hoursPerWeek,
    limit: windowH,
    unit: 'h',
  };
}

/** The one-third rule against the passes of the machine, in the month of the strongest growth. */
function sayRareCuts({ mmPerDay }: GrowthCurve, rules: Rules, findings: Finding[]): void {
  const wanted = cutsPerWeek(rules.cutHeightMm, Math.max(0, ...(mmPerDay ?? [])));
  if (wanted <= rules.passesPerWeek) return;
  findings.push({
    code: 'plan-upkeep.cut-too-seldom',
    severity: 'caution',
    message: `Grass kept at ${rules.cutHeightMm} mm must be cut before ${mowBeforeMm(rules.cutHeightMm).toFixed(0)} mm, ${wanted.toFixed(1)} times a week where it grows fastest; ${rules.passesPerWeek} passes are planned.`,
    advice: 'Plan more passes, or keep the grass longer: no more than a third of the leaf at once.',
    value: rules.passesPerWeek,
    limit: wanted,
    unit: '1/week',
  });
}

/** One finding for all zones that somebody must carry the machine to, at the largest. */
function sayCarried({ zones }: ZonedArea, rules: Rules, findings: Finding[]): void {
  const cutOff = zones.filter(({ connectivity }) => connectivity === 'isolated');
  if (cutOff.length === 0) return;
  const largest = cutOff.reduce((best, zone) => (zone.areaM2 > best.areaM2 ? zone : best));
  const hours = cutOff.reduce((sum, zone) => sum + mowingHours(zone, rules), 0);
  findings.push({
    code: 'plan-upkeep.carried-by-hand',
    severity: 'note',
    message: `Mowing ${cutOff.map(({ id }) => spoken(id)).join(', ')} takes ${hours.toFixed(1)} h a week on the grass that the schedule leaves out: somebody must carry the machine there.`,
    advice: 'Agree with the customer who carries it at the times the plan proposes, or widen the way there.',
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

function sayUnreadable({ quiet, watering = [] }: PlaneSite, findings: Finding[]): void {
  const say = (hours: readonly QuietHours[], member: string, name: string): void =>
    hours.forEach(({ from, to }, i) => {
      if (minutesOfDay(from) !== undefined && minutesOfDay(to) !== undefined) return;
      findings.push({
        code: 'plan-upkeep.quiet-not-readable',
        severity: 'caution',
        message: `${name} from '${from}' to '${to}' cannot be read and are not kept.`,
        advice: "Give clock times as 'HH:MM', for example '13:00'.",
        subject: `/${member}/${i}`,
      });
    });
  say(quiet, 'quiet', 'Quiet hours');
  say(watering, 'watering', 'Hours of sprinklers');
}
