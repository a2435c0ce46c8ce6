import { planSite } from '#geo-core/index.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import type { DerivedLawn } from '#geo-core/model/plane-plan.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import { polygonPerimeterM, totalAreaM2 } from '#geo-core/plane/measure.ts';
import type { RealLawn } from './real-lawns.ts';

export type LawnOutcome = {
  readonly lawn: RealLawn;
  readonly plan: Plan;
  readonly areaM2: number;
  readonly perimeterM: number;
  readonly planned: boolean;
  /** Codes of the findings that stop the plan, or say why there is no wire. */
  readonly refusedBy: readonly string[];
  readonly seconds: number;
  readonly stageSeconds: ReadonlyMap<string, number>;
};

/** Plans one lawn; `clockS` in seconds makes the times of the stages known. */
export function planRealLawn(lawn: RealLawn, rules: Rules, clockS: () => number): LawnOutcome {
  const stageSeconds = new Map<string, number>();
  const seen: { lawn?: DerivedLawn } = {};
  const startS = clockS();
  let lastS = startS;
  const plan = planSite(lawn.site, rules, (stage, value) => {
    const nowS = clockS();
    stageSeconds.set(stage, nowS - lastS);
    if (stage === '15-derive-lawn') seen.lawn = value as DerivedLawn;
    lastS = clockS();
  });
  const polygons = seen.lawn?.lawn ?? [];
  const planned = plan.features.some(({ properties }) => properties.kind === 'route');
  const stops = plan.findings.filter(({ severity }) => severity === 'stop').map(({ code }) => code);
  return {
    lawn,
    plan,
    areaM2: totalAreaM2(polygons),
    perimeterM: polygons.reduce((sum, polygon) => sum + polygonPerimeterM(polygon), 0),
    planned,
    refusedBy: [...new Set(stops)],
    seconds: clockS() - startS,
    stageSeconds,
  };
}
