import type { NewFeature } from '#api/store/features.ts';
import type { Geometry } from '#api/store/geometry.ts';
import type { Plan } from '#geo-core/model/plan.ts';

type Planned = {
  readonly siteId: string;
  readonly name: string | null;
  /** The ground of the site. */
  readonly ground: Geometry;
  readonly version: number;
  readonly inputHash: string;
  readonly at: string;
};

/** A plan as features of the collections: the plan itself, everything in it, and its findings. */
export function planRecords(plan: Plan, planned: Planned): NewFeature[] {
  const { siteId, version } = planned;
  const record = (
    collection: string,
    id: string,
    ordinal: number,
    geometry: Geometry,
    properties: object,
  ): NewFeature => ({
    collection,
    id: `${siteId}.${id}`,
    siteId,
    origin: 'plan',
    ordinal,
    geometry,
    properties: { ...properties },
  });
  const middle = middleOf(planned.ground);
  return [
    planFeature(plan, planned),
    ...plan.features.map(({ id, geometry, properties }, i) =>
      record(properties.kind, id, i, geometry, { plan: version, ...properties }),
    ),
    ...plan.findings.map(({ at, ...finding }, i) =>
      record('findings', `finding-${i + 1}`, i, at === null ? middle : { type: 'Point', coordinates: at }, finding),
    ),
  ];
}

function planFeature(plan: Plan, { siteId, name, ground, version, inputHash, at }: Planned): NewFeature {
  const count = (severity: string) => plan.findings.filter((finding) => finding.severity === severity).length;
  const { reachableAreaM2: _r, narrowPassageAreaM2: _n, isolatedAreaM2: _i, ...figures } = plan.summary;
  return {
    collection: 'plans',
    id: siteId,
    siteId,
    origin: 'plan',
    ordinal: 0,
    geometry: ground,
    properties: {
      name,
      state: 'planned',
      version,
      inputHash,
      planned: at,
      auditPassed: plan.audit.passed,
      stops: count('stop'),
      cautions: count('caution'),
      ...figures,
    },
  };
}

/** Says why there is no plan. */
export function refusedRecord(siteId: string, name: string | null, ground: Geometry, problem: string): NewFeature {
  return {
    collection: 'plans',
    id: siteId,
    siteId,
    origin: 'plan',
    ordinal: 0,
    geometry: ground,
    properties: { name, state: 'refused', problem },
  };
}

/** A place on the outline: enough to put a mark at a site. */
function middleOf(ground: Geometry): Geometry {
  const ring = ground.type === 'MultiPolygon' ? ground.coordinates[0][0] : [[0, 0]];
  const [sumLon, sumLat] = ring.reduce(([lon, lat], position) => [lon + position[0], lat + position[1]], [0, 0]);
  return { type: 'Point', coordinates: [sumLon / ring.length, sumLat / ring.length] };
}
