import type { PlanKind } from '#geo-core/model/plan.ts';

/** Line and fill as rrggbbaa and width in pixels: ink for what is laid, thin washes for ground. */
export const KIND_STYLES: Readonly<
  Record<PlanKind, { readonly line: string; readonly fill: string; readonly width: number }>
> = {
  'working-area': { line: '3f6b3080', fill: 'b0d0a040', width: 1 },
  route: { line: '1f1e1aff', fill: '00000000', width: 3 },
  'boundary-loop': { line: '1f1e1aff', fill: '00000000', width: 2 },
  'keep-out-loop': { line: '1f1e1aff', fill: 'efe2cb40', width: 2 },
  bay: { line: '57534ac0', fill: 'efe2cb60', width: 1 },
  lead: { line: '57534aff', fill: '00000000', width: 2 },
  zone: { line: '3f6b3080', fill: 'b0d0a030', width: 1 },
  passage: { line: 'b05f2aff', fill: '00000000', width: 2 },
  station: { line: '1f1e1aff', fill: '1f1e1aff', width: 1 },
  'station-candidate': { line: '57534aff', fill: '57534aff', width: 1 },
  'supply-cable': { line: '9a4030ff', fill: '00000000', width: 2 },
  peg: { line: '1f1e1aff', fill: '1f1e1aff', width: 1 },
  splice: { line: '9a4030ff', fill: '9a4030ff', width: 1 },
  'hand-mow': { line: '57534a80', fill: 'eeeeda60', width: 1 },
  steep: { line: 'b05f2aff', fill: 'b05f2a60', width: 1 },
  'weak-signal': { line: '6a4a9aff', fill: '6a4a9a60', width: 1 },
};
