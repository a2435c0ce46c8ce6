import type { RefusedSite } from '#api/contract/parse-site.ts';
import { isObject } from '#geo-core/model/is-object.ts';

/** Properties of a ground that are members of its site. */
const MEMBERS = ['name', 'rules', 'units', 'locale', 'prices', 'quiet', 'elevation'];
const GROUND = '/features/0';

/** A Feature -> the site whose parcel it is (or what its `kind` says); undefined for anything else. */
export function siteOfGround(json: unknown): Readonly<Record<string, unknown>> | undefined {
  if (!isObject(json) || json.type !== 'Feature') return undefined;
  const { properties } = json;
  const said = isObject(properties) ? properties : {};
  const members = Object.entries(said).filter(([name, value]) => MEMBERS.includes(name) && value !== null);
  return {
    ...Object.fromEntries(members),
    type: 'FeatureCollection',
    ...(json.id !== undefined && { id: json.id }),
    features: [
      { ...json, properties: isObject(properties) || properties === null ? { kind: 'parcel', ...said } : properties },
    ],
  };
}

/** Problems of that site, told where they are in the Feature. */
export function atGround({ problems, ...more }: RefusedSite): RefusedSite {
  return {
    ...more,
    problems: problems.map(({ pointer, message }) => {
      if (pointer.startsWith(GROUND)) return { pointer: pointer.slice(GROUND.length), message };
      const isMember = MEMBERS.includes(pointer.split('/')[1]);
      return { pointer: isMember ? `/properties${pointer}` : pointer, message };
    }),
  };
}
