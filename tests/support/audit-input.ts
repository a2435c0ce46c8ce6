import type { AuditInput } from '#geo-core/audit/evidence.ts';
import type { StageId } from '#geo-core/index.ts';

/** What the audit was given, from the trace of a plan. */
export function auditInputOf(stages: ReadonlyMap<StageId, unknown>): AuditInput {
  const output = <Key extends keyof AuditInput>(id: StageId): AuditInput[Key] => stages.get(id) as AuditInput[Key];
  return {
    site: output<'site'>('10-project-site'),
    lawn: output<'lawn'>('15-derive-lawn'),
    slope: output<'slope'>('20-survey-slope'),
    edges: output<'edges'>('25-classify-edges'),
    loops: output<'loops'>('35-loop-keep-outs'),
    zones: output<'zones'>('40-split-zones'),
    stations: output<'stations'>('45-site-station'),
    route: output<'route'>('50-join-route'),
    settingOut: output<'settingOut'>('60-set-out'),
    takeOff: output<'takeOff'>('65-take-off'),
  };
}
