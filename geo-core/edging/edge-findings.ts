import type { Finding } from '#geo-core/model/finding.ts';
import type { EdgedPolygon, EdgeRing } from '#geo-core/model/plane-plan.ts';
import type { PlaneSite } from '#geo-core/model/site.ts';
import type { GroundStep } from '#geo-core/terrain/edge-steps.ts';
import type { Claim } from './holding-source.ts';

/** A stretch that only the heights tell of, with its middle. */
export type FoundStep = GroundStep & { readonly lengthM: number; readonly x: number; readonly y: number };

/** A stretch that two drawn edges say different things about, with its middle. */
export type ToldTwice = {
  readonly holds: Claim;
  readonly over: Claim;
  readonly lengthM: number;
  readonly x: number;
  readonly y: number;
};

/** What classified edges give cause to say; the codes belong to stage 25. `reachM` is how far a drawn edge may lie from the lawn. */
export function edgeFindings(
  polygons: readonly EdgedPolygon[],
  site: PlaneSite,
  steps: readonly FoundStep[],
  twice: readonly ToldTwice[],
  reachM: number,
): Finding[] {
  const used = new Set(polygons.flatMap(({ outer, holes }) => [outer, ...holes].flatMap((ring) => ring.from)));
  return [
    ...unusedEdges(site, used, reachM),
    ...toldTwice(twice),
    ...inferredFrom(polygons, site),
    ...stepsFound(steps),
    ...unknownShare(polygons),
    ...dangers(polygons),
  ];
}

function unusedEdges(site: PlaneSite, used: ReadonlySet<string>, reachM: number): Finding[] {
  return site.features
    .filter(({ kind, beyond, pointer }) => kind === 'edge' && beyond !== undefined && !used.has(pointer))
    .map((feature) => ({
      code: 'classify-edges.edge-not-on-lawn',
      severity: 'caution',
      message: `An edge with ${feature.beyond} beyond lies along no lawn edge (within ${reachM} m); it is not used.`,
      advice: 'Draw it along the lawn edge it is about, or take it out of the site.',
      limit: reachM,
      unit: 'm',
      subject: feature.pointer,
    }));
}

/** Two drawn edges that contradict each other, each two once, at their longest stretch. */
function toldTwice(twice: readonly ToldTwice[]): Finding[] {
  const pairs = new Map<string, ToldTwice>();
  for (const each of twice) {
    const key = `${each.holds.pointer} ${each.over.pointer}`;
    const known = pairs.get(key);
    if (known === undefined || each.lengthM > known.lengthM) pairs.set(key, each);
  }
  return [...pairs.values()].map(({ holds, over, lengthM, x, y }) => ({
    code: 'classify-edges.edge-told-twice',
    severity: 'caution',
    message: `Along ${lengthM.toFixed(2)} m of lawn edge one drawn edge has ${holds.beyond} beyond and another ${over.beyond}: ${holds.beyond} is used, which asks for the larger distance or is the worse of two alike.`,
    advice: 'Walk this edge and take the drawn edge that is wrong out of the site, or shorten it.',
    value: lengthM,
    unit: 'm',
    at: { x, y },
    subject: over.pointer,
  }));
}

/** What was taken from features beside the lawn instead of drawn edges, in one line. */
function inferredFrom(polygons: readonly EdgedPolygon[], site: PlaneSite): Finding[] {
  const kinds = new Map(site.features.map(({ pointer, kind }) => [pointer, kind]));
  const lengths = new Map<string, number>();
  forEachEdge(polygons, (ring, i, lengthM) => {
    const kind = kinds.get(ring.from[i]);
    if (kind === undefined || kind === 'edge') return;
    const told = `${ring.beyond[i].replace('-', ' ')} from ${kind}`;
    lengths.set(told, (lengths.get(told) ?? 0) + lengthM);
  });
  if (lengths.size === 0) return [];
  const totalM = [...lengths.values()].reduce((sum, lengthM) => sum + lengthM, 0);
  const told = [...lengths]
    .toSorted(([, a], [, b]) => b - a)
    .map(([name, lengthM]) => `${lengthM.toFixed(1)} m ${name}`);
  return [
    {
      code: 'classify-edges.inferred',
      severity: 'note',
      message: `What lies beyond ${totalM.toFixed(1)} m of lawn edge is taken from what is drawn beside it: ${told.join(', ')}.`,
      advice: 'Walk these edges; where it is otherwise draw an edge along them, which always wins.',
      value: totalM,
      unit: 'm',
    },
  ];
}

/** Steps that only the heights tell of, each kind once, at its highest: they are used, and to be confirmed. */
function stepsFound(steps: readonly FoundStep[]): Finding[] {
  const words = { drop: 'falls', 'step-down': 'steps down', 'step-up': 'steps up' } as const;
  return (['drop', 'step-down', 'step-up'] as const).flatMap((beyond): Finding[] => {
    const some = steps.filter((step) => step.beyond === beyond);
    if (some.length === 0) return [];
    const lengthM = some.reduce((sum, step) => sum + step.lengthM, 0);
    const most = some.reduce((a, b) => (Math.abs(b.stepM) > Math.abs(a.stepM) ? b : a));
    return [
      {
        code: `classify-edges.${beyond}-found`,
        severity: beyond === 'drop' ? 'caution' : 'note',
        message:
          `By the elevation grid the ground ${words[beyond]} beyond ${lengthM.toFixed(1)} m of lawn edge that nothing is said about, ` +
          `by ${Math.abs(most.stepM).toFixed(2)} m at most; it counts as ${beyond}.`,
        advice: 'Confirm it on site and draw it as an edge, or draw what is there instead: a drawn edge always wins.',
        value: Math.abs(most.stepM),
        unit: 'm',
        at: { x: most.x, y: most.y },
      },
    ];
  });
}

function unknownShare(polygons: readonly EdgedPolygon[]): Finding[] {
  let [unknownM, totalM] = [0, 0];
  forEachEdge(polygons, (ring, i, lengthM) => {
    totalM += lengthM;
    if (ring.beyond[i] === 'unknown') unknownM += lengthM;
  });
  if (unknownM < 0.5) return [];
  return [
    {
      code: 'classify-edges.unknown-beyond',
      severity: 'note',
      message: `Nothing is said about ${unknownM.toFixed(1)} m of ${totalM.toFixed(1)} m of lawn edge; it counts as open ground.`,
      advice: 'Walk the edge: draw walls, steps, drops, water and roads along it as edges before ordering.',
      value: unknownM,
      limit: 0,
      unit: 'm',
    },
  ];
}

/** Edges beyond which a machine is lost or people are met: each kind once, at its longest stretch. */
function dangers(polygons: readonly EdgedPolygon[]): Finding[] {
  const advice = {
    drop: 'A fence, kerb or planting strip at the edge is safer than any wire; check the distance on site.',
    water: 'A raised rim or fence at the edge is safer than any wire; check the distance on site.',
    road: 'A fence or hedge towards public ground is safer than any wire; local rules may ask for it.',
  };
  const found = new Map<
    keyof typeof advice,
    { lengthM: number; longestM: number; x: number; y: number; offsetM: number }
  >();
  forEachEdge(polygons, (ring, i, lengthM, x, y) => {
    const beyond = ring.beyond[i];
    if (beyond !== 'drop' && beyond !== 'water' && beyond !== 'road') return;
    const known = found.get(beyond);
    const isLongest = known === undefined || lengthM > known.longestM;
    const place = isLongest ? { longestM: lengthM, x, y } : known;
    found.set(beyond, { ...place, lengthM: (known?.lengthM ?? 0) + lengthM, offsetM: ring.offsetsM[i] });
  });
  return [...found].map(([beyond, { lengthM, x, y, offsetM }]) => ({
    code: `classify-edges.${beyond}`,
    severity: 'caution',
    message: `${lengthM.toFixed(1)} m of lawn edge lie at ${beyond === 'road' ? 'a road' : beyond === 'drop' ? 'a drop' : 'water'}; the wire keeps ${offsetM.toFixed(2)} m away.`,
    advice: advice[beyond],
    value: lengthM,
    unit: 'm',
    at: { x, y },
  }));
}

function forEachEdge(
  polygons: readonly EdgedPolygon[],
  visit: (ring: EdgeRing, edge: number, lengthM: number, middleX: number, middleY: number) => void,
): void {
  for (const { outer, holes } of polygons) {
    for (const ring of [outer, ...holes]) {
      const xy = ring.ring;
      for (let i = 0; i < xy.length; i += 2) {
        const next = (i + 2) % xy.length;
        const [dx, dy] = [xy[next] - xy[i], xy[next + 1] - xy[i + 1]];
        visit(ring, i / 2, Math.sqrt(dx * dx + dy * dy), (xy[i] + xy[next]) / 2, (xy[i + 1] + xy[next + 1]) / 2);
      }
    }
  }
}
