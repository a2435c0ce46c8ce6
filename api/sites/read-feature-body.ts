import { anyCrsWay, type CrsWay } from '#api/collections/coordinate-systems.ts';
import { checkFeature } from '#api/contract/check-feature.ts';
import { readBody } from '#api/plan/read-body.ts';
import { readJson } from '#api/plan/read-json.ts';
import { HttpProblem } from '#api/problems.ts';
import type { Limits } from '#api/read-config.ts';
import { type Geometry, mapPositions } from '#api/store/geometry.ts';
import { isObject } from '#geo-core/model/is-object.ts';
import { ProblemList } from '#geo-core/model/problem.ts';
import type { SiteGeometryInput } from '#geo-core/model/site.ts';

export const GEOJSON_TYPES = ['application/geo+json', 'application/json'];
export const PATCH_TYPES = ['application/merge-patch+json', 'application/geo+json', 'application/json'];

/** A body of JSON in one of the media types, with the coordinate system it is in. */
export async function readJsonBody(
  request: Request,
  limits: Limits,
  mediaTypes: readonly string[],
): Promise<{ readonly json: unknown; readonly way: CrsWay }> {
  const mediaType = request.headers.get('content-type')?.split(';')[0].trim().toLowerCase();
  if (!mediaTypes.some((known) => known === mediaType)) {
    const given = mediaType === undefined ? 'is missing' : `"${mediaType.slice(0, 80)}" is not read here`;
    throw new HttpProblem({
      code: 'unsupported-media-type',
      detail: `Content-Type ${given}: send ${mediaTypes.join(', ')}`,
      headers: { accept: mediaTypes.join(', ') },
    });
  }
  const way = anyCrsWay('Content-Crs', request.headers.get('content-crs') ?? undefined);
  const read = readJson(await readBody(request, limits.bodyBytesMax), limits.nestingMax);
  if ('detail' in read) throw new HttpProblem({ code: 'invalid-json', detail: read.detail });
  return { json: read.json, way };
}

export type GivenFeature = {
  readonly id: string | undefined;
  readonly geometry: Geometry | null;
  readonly properties: Readonly<Record<string, unknown>>;
};

/** Parsed JSON -> a feature in longitude and latitude; 422 with a pointer to every fault of its structure. */
export function readFeature(json: unknown, way: CrsWay): GivenFeature {
  const list = new ProblemList();
  const isFeature = checkFeature(json, [], list, { positions: 0 });
  if (isFeature && isObject(json.geometry) && json.geometry.type === 'GeometryCollection') {
    list.add(['geometry'], 'a collection of geometries is kept as features of their own: send one geometry');
  }
  if (!isFeature || !list.isEmpty) throw invalidFeature(list);
  const { id, geometry, properties } = json;
  return {
    id: id === undefined ? undefined : String(id),
    geometry: geometry === null ? null : placed(geometry, way),
    properties: properties ?? {},
  };
}

export function invalidFeature({ problems, more }: ProblemList): HttpProblem {
  return new HttpProblem({
    code: 'invalid-feature',
    detail: 'the feature cannot be kept like that',
    errors: problems.map(({ pointer, message }) => ({ pointer, detail: message })),
    more,
  });
}

export function faultAt(pointer: string, detail: string): HttpProblem {
  return new HttpProblem({
    code: 'invalid-feature',
    detail: 'the feature cannot be kept like that',
    errors: [{ pointer, detail }],
  });
}

function placed(geometry: SiteGeometryInput, way: CrsWay): Geometry {
  if (geometry.type === 'GeometryCollection') throw faultAt('/geometry', 'send one geometry');
  const flat = mapPositions(geometry, ([x, y]) => way.toLonLat([x, y]));
  return flat;
}

/** RFC 7396. */
export function mergePatch(target: unknown, patch: unknown): unknown {
  if (!isObject(patch)) return patch;
  const merged: Record<string, unknown> = isObject(target) ? { ...target } : {};
  for (const [name, value] of Object.entries(patch)) {
    if (value === null) delete merged[name];
    else merged[name] = mergePatch(merged[name], value);
  }
  return merged;
}
