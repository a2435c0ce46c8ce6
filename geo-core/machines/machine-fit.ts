import type { Plan, PlanFinding } from '#geo-core/model/plan.ts';

/** `fits`: one machine keeps the lawn; `fits-shared`: several do, each on a working area of its own; else `does-not-fit`. */
export const FIT_VERDICTS = ['fits', 'fits-shared', 'does-not-fit'] as const;
export type FitVerdict = (typeof FIT_VERDICTS)[number];

/** How one machine class (the rule set of a plan) suits a site. */
export type MachineFit = {
  /** Name of the rule set. */
  readonly rules: string;
  readonly verdict: FitVerdict;
  /** Fewest machines that could keep the lawn; null where no number of them does. */
  readonly machinesAtLeast: number | null;
  /** The plan's findings that speak against one machine: figure, limit and place; none where it fits. */
  readonly reasons: readonly PlanFinding[];
  readonly hoursPerWeek: number;
  /** Hours that the week of the strongest growth leaves; null where nothing grows. */
  readonly windowH: number | null;
  /** Share of the lawn that the machine mows by itself, percent. */
  readonly mownPct: number;
  readonly routeLengthM: number;
  readonly priceTotal: number;
  readonly currency: string;
};

/** More machines do not help: what the ground asks of each of them. */
const AGAINST = new Set([
  'survey-slope.steep-ground',
  'check-slope.wire-downhill',
  'check-slope.passage-climbs',
  'check-slope.passage-leans',
  'site-station.no-place',
  'split-zones.too-narrow',
]);
/** Less ground a machine helps. */
const TOO_MUCH = new Set([
  'plan-upkeep.week-too-short',
  'check-signal.out-of-range',
  'check-signal.field-faint',
  'check-signal.loop-too-long',
  'check-signal.resistance-high',
  'join-route.wire-too-long',
  'join-route.resistance-too-high',
]);
/** What parts ground from the rest for this machine, and by how much. */
const PARTED = new Set(['loop-keep-outs.narrow-corridor', 'split-zones.zone-isolated']);
/** Ground that somebody must carry the machine to is no reason for another one up to this share of the zones. Common practice, no source. */
const CARRIED_SHARE = 0.1;

/**
 * A finished plan -> whether its machine class suits the site. Every reason is a finding of the plan, so that it can be looked up on the
 * map. Advice: the machine's manual and a look at the ground decide.
 */
export function machineFit({ summary, findings, upkeep, rules }: Plan): MachineFit {
  const { hoursPerWeek, routeLengthM, priceTotal, currency, lawnAreaM2 } = summary;
  const { reachableAreaM2, narrowPassageAreaM2, isolatedAreaM2 } = summary;
  const ownM2 = reachableAreaM2 + narrowPassageAreaM2;
  const isCarried = isolatedAreaM2 > CARRIED_SHARE * (ownM2 + isolatedAreaM2);
  const against = findings.filter(
    ({ code, severity }) =>
      severity === 'stop' ||
      (severity === 'caution' && AGAINST.has(code) && (code !== 'split-zones.too-narrow' || ownM2 === 0)),
  );
  const carried = isCarried ? findings.filter(({ code }) => PARTED.has(code)) : [];
  const tooMuch = findings.filter(({ code, severity }) => severity === 'caution' && TOO_MUCH.has(code));
  const [full] = upkeep.seasons.toSorted((a, b) => b.hoursPerWeek / b.windowH - a.hoursPerWeek / a.windowH);
  const fits = against.length === 0;
  const sharing = [...tooMuch, ...carried];
  const machines = sharing.length === 0 ? 1 : Math.max(2, machinesByHours({ upkeep }) + (carried.length > 0 ? 1 : 0));
  return {
    rules: rules.name,
    verdict: !fits ? 'does-not-fit' : machines === 1 ? 'fits' : 'fits-shared',
    machinesAtLeast: fits ? machines : null,
    reasons: [...against, ...sharing],
    hoursPerWeek,
    windowH: full?.windowH ?? null,
    mownPct: lawnAreaM2 > 0 ? Math.round((1000 * ownM2) / lawnAreaM2) / 10 : 0,
    routeLengthM,
    priceTotal,
    currency,
  };
}

/** Fewest machines that the hours of the fullest week ask for, at least one. A week that leaves no hours asks for none: no number would do. */
export function machinesByHours({ upkeep }: Pick<Plan, 'upkeep'>): number {
  const needs = upkeep.seasons.map(({ hoursPerWeek, windowH }) => (windowH > 0 ? hoursPerWeek / windowH : 0));
  return Math.max(1, Math.ceil(Math.max(0, ...needs)));
}
