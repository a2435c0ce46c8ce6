import type { Plan, PlanKind } from '#geo-core/model/plan.ts';
import { INK, WIDTH } from './ink.ts';
import { element, type MarkUp } from './mark-up.ts';
import { areaPath, type Placement } from './placement.ts';

type Wash = { readonly kind: PlanKind; readonly fill?: string; readonly hatch?: string; readonly rim?: string };

/** From the ground up. */
const WASHES: readonly Wash[] = [
  { kind: 'hand-mow', fill: INK.handMow, hatch: 'strokes', rim: INK.faint },
  { kind: 'working-area', fill: INK.lawn, hatch: 'grass', rim: INK.lawnRim },
  { kind: 'keep-out-loop', fill: INK.keepOut, hatch: 'cross' },
  { kind: 'bay', fill: INK.keepOut, hatch: 'cross', rim: INK.soft },
  { kind: 'steep', hatch: 'slopes', rim: INK.soft },
  { kind: 'weak-signal', hatch: 'dots', rim: INK.soft },
];

/** Washes with their hatches, and the limits between zones in long dashes. */
export function drawGround({ features }: Plan, place: Placement): MarkUp[] {
  const ground = WASHES.flatMap(({ kind, fill, hatch, rim }) => {
    const own = features.filter((feature) => feature.properties.kind === kind);
    const d = areaPath(own.flatMap((feature) => place.polygons(feature.geometry)));
    if (d === '') return [];
    const area = { d, 'fill-rule': 'evenodd' };
    return [
      ...(fill ? [element('path', { ...area, fill })] : []),
      ...(hatch ? [element('path', { ...area, fill: `url(#${hatch})` })] : []),
      ...(rim ? [element('path', { ...area, fill: 'none', stroke: rim, 'stroke-width': WIDTH.thin })] : []),
    ];
  });
  const zones = features.filter((feature) => feature.properties.kind === 'zone');
  if (zones.length < 2) return ground;
  const limits = element('path', {
    d: areaPath(zones.flatMap((zone) => place.polygons(zone.geometry))),
    fill: 'none',
    stroke: INK.soft,
    'stroke-width': WIDTH.middle,
    'stroke-dasharray': '6 1.5',
  });
  return [...ground, limits];
}
