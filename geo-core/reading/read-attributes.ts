import type { Finding } from '#geo-core/model/finding.ts';
import { pointerOf } from '#geo-core/model/problem.ts';
import {
  BEYONDS,
  type FeatureAttributes,
  GROUNDS,
  type SiteFeatureInput,
  type SiteKind,
} from '#geo-core/model/site.ts';

type Bounds = { readonly min: number; readonly max: number; readonly unit: string };

const HEIGHT: Bounds = { min: 0, max: 200, unit: 'm' };
const RADIUS: Bounds = { min: 0.01, max: 100, unit: 'm' };
const WIDTH: Bounds = { min: 0.05, max: 100, unit: 'm' };
const HEADING: Bounds = { min: -360, max: 360, unit: 'degrees clockwise from north' };

/** The attributes of feature number `index`; what is not a usable value is passed over with a finding. null counts as not given. */
export function readAttributes(
  feature: SiteFeatureInput,
  index: number,
  kind: SiteKind,
): { readonly attributes: FeatureAttributes; readonly findings: readonly Finding[] } {
  const properties = feature.properties ?? {};
  const findings: Finding[] = [];
  const refuse = (member: string, expected: string): undefined => {
    findings.push({
      code: 'read-site.bad-attribute',
      severity: 'caution',
      message: `The ${member} of the ${kind} should be ${expected}; it is ${shown(properties[member])} and was passed over.`,
      advice: `Correct ${member}, or leave it out.`,
      subject: pointerOf(['features', index, 'properties', member]),
    });
    return undefined;
  };
  const given = (member: string): boolean => properties[member] !== undefined && properties[member] !== null;
  const numberWithin = (member: string, { min, max, unit }: Bounds): number | undefined => {
    if (!given(member)) return undefined;
    const value = properties[member];
    if (typeof value === 'number' && value >= min && value <= max) return value;
    return refuse(member, `a number from ${min} to ${max} ${unit}`);
  };
  const heightM = numberWithin('height', HEIGHT);
  const radiusM = numberWithin('radius', RADIUS);
  const widthM = numberWithin('width', WIDTH);
  const headingDeg = kind === 'station' ? numberWithin('heading', HEADING) : undefined;
  const rigid = properties.rigid;
  if (given('rigid') && typeof rigid !== 'boolean') refuse('rigid', 'true or false');
  const { bedroom } = properties;
  if (given('bedroom') && typeof bedroom !== 'boolean') refuse('bedroom', 'true or false');
  const beyond = kind === 'edge' ? BEYONDS.find((known) => known === properties.beyond) : undefined;
  if (kind === 'edge' && beyond === undefined) refuse('beyond', `one of ${BEYONDS.join(', ')}`);
  const ground = GROUNDS.find((known) => known === properties.ground);
  const hasGround = (kind === 'lawn' || kind === 'parcel') && given('ground');
  if (hasGround && ground === undefined) refuse('ground', `one of ${GROUNDS.join(', ')}`);
  return {
    attributes: {
      kind,
      pointer: pointerOf(['features', index]),
      ...(feature.id !== undefined && { id: feature.id }),
      ...(heightM !== undefined && { heightM }),
      ...(typeof rigid === 'boolean' && { rigid }),
      ...(typeof bedroom === 'boolean' && { bedroom }),
      ...(radiusM !== undefined && { radiusM }),
      ...(widthM !== undefined && { widthM }),
      ...(beyond !== undefined && { beyond }),
      ...(hasGround && ground !== undefined && { ground }),
      ...(headingDeg !== undefined && { headingDeg: (headingDeg + 360) % 360 }),
    },
    findings,
  };
}

function shown(value: unknown): string {
  if (value === undefined || value === null) return 'not given';
  if (typeof value === 'object') return Array.isArray(value) ? 'a list' : 'an object';
  const text = JSON.stringify(value);
  return text.length > 40 ? `${text.slice(0, 40)}…` : text;
}
