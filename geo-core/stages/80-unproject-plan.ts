import { planFeatures } from '#geo-core/handover/plan-features.ts';
import type { PlaneResult } from '#geo-core/handover/plane-result.ts';
import { knownOrNull, summarise } from '#geo-core/handover/summarise.ts';
import { CAUTIONS } from '#geo-core/model/cautions.ts';
import type { Finding, Staged } from '#geo-core/model/finding.ts';
import type { Plan, PlanAudit, PlanFeature, PlanFinding } from '#geo-core/model/plan.ts';
import { linesOf } from '#geo-core/model/plan-geometry.ts';
import type { Audit, SettingOut } from '#geo-core/model/plane-plan.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import type { TakeOff } from '#geo-core/model/take-off.ts';
import { type GeoJsonShapes, geoJsonShapes, nineDecimals } from '#geo-core/projection/geojson-shapes.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';
import { longitudeDifferenceDeg, normalLongitudeDeg } from '#geo-core/projection/longitude.ts';

export type UnprojectInput = PlaneResult;

/**
 * Everything planned -> the plan on the wire: one RFC 7946 FeatureCollection in WGS 84. Figures are measured in the plane
 * and rounded to nine decimals. A plan that failed its audit is not a plan: everything that follows from the wire is left
 * out, what was found and the audit's evidence stay.
 */
export function unprojectPlan(input: UnprojectInput, rules: Rules): Staged<Plan> {
  const result = input.audit.passed ? input : withoutWire(input);
  const shapes = geoJsonShapes(localPlaneProjection(input.site.plane));
  const features = planFeatures(result, shapes);
  const bbox = boundingBox(features, input.site.plane.originLonDeg);
  const output: Plan = {
    type: 'FeatureCollection',
    id: result.site.id ?? null,
    name: result.site.name ?? null,
    ...(bbox && { bbox }),
    features,
    summary: summarise(result),
    takeoff: result.takeOff,
    schedule: result.upkeep.schedule,
    upkeep: {
      seasons: result.upkeep.seasons.map((season) => ({
        ...season,
        growthShare: nineDecimals(season.growthShare),
        hoursPerWeek: nineDecimals(season.hoursPerWeek),
        windowH: nineDecimals(season.windowH),
      })),
      carries: result.upkeep.carries,
      timeZone: result.site.timeZone ?? null,
      energyKwhPerYear: nineDecimals(result.upkeep.energyKwhPerYear),
    },
    findings: result.findings.map((finding) => planFinding(finding, shapes)),
    audit: planAudit(result.audit, shapes),
    rules,
    cautions: CAUTIONS,
  };
  return { output, findings: [] };
}

function withoutWire(input: UnprojectInput): UnprojectInput {
  return {
    ...input,
    loops: { workingArea: [], loops: [], bays: [], bumped: [], steep: [] },
    zones: { zones: [], passages: [] },
    stations: { stations: [], candidates: [] },
    route: { leads: [], routes: [] },
    slopeCheck: undefined,
    signal: { resistanceOhm: [], warmResistanceOhm: [], weak: [], faint: [] },
    settingOut: NOTHING_SET_OUT,
    takeOff: nothingTakenOff(input.takeOff),
    upkeep: { hoursPerWeek: 0, handMow: [], schedule: [], seasons: [], carries: [], energyKwhPerYear: 0 },
  };
}

const NOTHING_SET_OUT: SettingOut = { pegs: [], splices: [], spoolCount: 0, stretches: [], parts: [], spools: [] };

/** What a price is worked out with stays, the rest is nothing. */
function nothingTakenOff(takeOff: TakeOff): TakeOff {
  const { discountPct, taxPct, pricesIncludeTax, currency, minorUnits, priceBook } = takeOff;
  const kept = { discountPct, taxPct, pricesIncludeTax, currency, minorUnits, priceBook };
  const nothing = { lines: [], labour: [], wire: [], parts: [], stretches: [], spools: [], taxes: [] };
  return { ...kept, ...nothing, subtotal: 0, discount: 0, net: 0, tax: 0, cashRounding: 0, priceTotal: 0 };
}

function planFinding(finding: Finding, { position }: GeoJsonShapes): PlanFinding {
  const { code, severity, message, advice, value, limit, unit, at, subject } = finding;
  return {
    code,
    severity,
    message,
    advice,
    value: knownOrNull(value),
    limit: knownOrNull(limit),
    unit: unit ?? null,
    at: at ? position(at) : null,
    subject: subject ?? null,
  };
}

function planAudit({ passed, checks }: Audit, { position }: GeoJsonShapes): PlanAudit {
  return { passed, checks: checks.map((check) => ({ ...check, at: check.at ? position(check.at) : null })) };
}

/** West, south, east, north (RFC 7946, 5); across the antimeridian west is the larger number (5.2). */
function boundingBox(features: readonly PlanFeature[], originLonDeg: number): Plan['bbox'] {
  let [west, south, east, north] = [Infinity, Infinity, -Infinity, -Infinity];
  const see = (position: readonly [number, number]): void => {
    const eastOfOrigin = longitudeDifferenceDeg(position[0], originLonDeg);
    if (eastOfOrigin < west) west = eastOfOrigin;
    if (eastOfOrigin > east) east = eastOfOrigin;
    if (position[1] < south) south = position[1];
    if (position[1] > north) north = position[1];
  };
  for (const { geometry } of features) {
    if (geometry.type === 'Point') see(geometry.coordinates);
    else for (const line of linesOf(geometry)) for (const position of line) see(position);
  }
  if (west > east) return undefined;
  const longitude = (eastOfOrigin: number) => nineDecimals(normalLongitudeDeg(originLonDeg + eastOfOrigin));
  return [longitude(west), south, longitude(east), north];
}
