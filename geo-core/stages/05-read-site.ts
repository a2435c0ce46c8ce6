import { counted } from '#geo-core/model/counted.ts';
import type { Finding, Staged } from '#geo-core/model/finding.ts';
import { ProblemList, pointerOf, SiteError } from '#geo-core/model/problem.ts';
import type { Rules } from '#geo-core/model/rules.ts';
import {
  type FeatureAttributes,
  type LonLatShape,
  SITE_KINDS,
  type Site,
  type SiteFeatureInput,
  type SiteInput,
  type SiteKind,
} from '#geo-core/model/site.ts';
import { checkPlaces } from '#geo-core/reading/check-places.ts';
import { mendFindings } from '#geo-core/reading/mend-findings.ts';
import { readAttributes } from '#geo-core/reading/read-attributes.ts';
import { readShapes } from '#geo-core/reading/read-shapes.ts';
import { SITE_SHAPES } from '#geo-core/reading/site-shapes.ts';

type SiteFeature = Site['features'][number];

/**
 * A site as it arrived -> what it means, in longitude and latitude: kinds and attributes read, geometry mended, every mend and
 * everything passed over a finding. Throws `SiteError` where positions are no places on earth or lie too far apart for one
 * property; everything else about the data is answered, not thrown.
 */
export function readSite(input: SiteInput, _rules: Rules): Staged<Site> {
  const astray = new ProblemList();
  checkPlaces(input.features, astray);
  if (!astray.isEmpty) throw new SiteError(astray.problems, astray.more);
  const findings: Finding[] = [];
  const features: SiteFeature[] = [];
  const strangers = new Map<string | undefined, Stranger>();
  let turnedRings = 0;
  for (const [index, feature] of input.features.entries()) {
    const kind = SITE_KINDS.find((known) => known === feature.properties?.kind);
    if (kind === undefined) {
      countStranger(strangers, feature, index);
      continue;
    }
    const read = readFeature(feature, kind, index);
    features.push(...read.features);
    findings.push(...read.findings);
    turnedRings += read.turnedRings;
  }
  findings.push(...Array.from(strangers.values(), unknownKind));
  if (turnedRings > 0) {
    findings.push({
      code: 'read-site.ring-order',
      severity: 'note',
      message: `${counted(turnedRings, 'ring')} ran the wrong way round: turned (outer rings anticlockwise, holes clockwise).`,
      advice: 'Nothing to do; tools that follow RFC 7946 write them so.',
      value: turnedRings,
      unit: '1',
    });
  }
  const oneStation = keepOneStation(features);
  findings.push(...oneStation.findings);
  return {
    output: {
      ...(input.id !== undefined && { id: input.id }),
      ...(input.name !== undefined && { name: input.name }),
      features: oneStation.features,
      prices: input.prices ?? {},
      quiet: input.quiet ?? [],
      ...(input.watering !== undefined && { watering: input.watering }),
      ...(input.growth !== undefined && { growth: input.growth }),
      ...(input.timeZone !== undefined && { timeZone: input.timeZone }),
      units: input.units ?? 'metric',
      locale: input.locale ?? 'en',
      ...(input.elevation !== undefined && { elevation: input.elevation }),
    },
    findings,
  };
}

type ReadFeature = {
  readonly features: readonly SiteFeature[];
  readonly findings: readonly Finding[];
  readonly turnedRings: number;
};

function readFeature(feature: SiteFeatureInput, kind: SiteKind, index: number): ReadFeature {
  const subject = pointerOf(['features', index]);
  if (feature.geometry === null) return { features: [], findings: [noGeometry(kind, subject)], turnedRings: 0 };
  const { attributes, findings: attributeFindings } = readAttributes(feature, index, kind);
  const { shapes, mends } = readShapes(feature.geometry);
  const findings = [...attributeFindings, ...mendFindings(attributes, mends)];
  if (shapes.length === 0 && mends.droppedRings + mends.droppedLines === 0) findings.push(noGeometry(kind, subject));
  const features: SiteFeature[] = [];
  for (const shape of shapes) {
    const fitted = fitShape(attributes, shape);
    features.push(...fitted.features);
    findings.push(...fitted.findings);
  }
  return { features, findings, turnedRings: mends.turnedRings };
}

/** Features of one kind that means nothing here: one finding for all of them. */
type Stranger = { readonly kind: string | undefined; readonly subject: string; readonly count: number };

function countStranger(strangers: Map<string | undefined, Stranger>, feature: SiteFeatureInput, index: number): void {
  const given = feature.properties?.kind;
  const kind = typeof given === 'string' ? given.slice(0, 40) : undefined;
  const known = strangers.get(kind) ?? { kind, subject: pointerOf(['features', index]), count: 0 };
  strangers.set(kind, { ...known, count: known.count + 1 });
}

function unknownKind({ kind, subject, count }: Stranger): Finding {
  const said = kind === undefined ? 'without a kind' : `of kind "${kind}", which means nothing here,`;
  return {
    code: 'read-site.unknown-kind',
    severity: 'note',
    message:
      count === 1
        ? `A feature ${said} was passed over.`
        : `${count} features ${said} were passed over, the first is named.`,
    advice: `Set properties.kind to one of ${SITE_KINDS.join(', ')}.`,
    value: count,
    unit: '1',
    subject,
  };
}

function noGeometry(kind: string, subject: string): Finding {
  return {
    code: 'read-site.no-geometry',
    severity: 'caution',
    message: `The ${kind} has no geometry; it was passed over.`,
    advice: 'Draw it, or take it out of the site.',
    subject,
  };
}

/** Does the shape suit the kind, and is a size given where the shape needs one? */
function fitShape(
  attributes: FeatureAttributes,
  shape: LonLatShape,
): { readonly features: readonly SiteFeature[]; readonly findings: readonly Finding[] } {
  const { kind, pointer: subject } = attributes;
  const { shapes, inWords, assumedRadiusM, assumedWidthM } = SITE_SHAPES[kind];
  if (!shapes.includes(shape.type)) {
    const finding: Finding = {
      code: 'read-site.wrong-geometry',
      severity: 'caution',
      message: `A ${kind} cannot be ${WRITTEN_AS[shape.type]}; it was passed over.`,
      advice: `Give the ${kind} as ${inWords}.`,
      subject,
    };
    return { features: [], findings: [finding] };
  }
  if (shape.type === 'line' && assumedWidthM !== undefined && attributes.widthM === undefined) {
    if (assumedWidthM === null) return { features: [], findings: [noWidth(attributes)] };
    const assumed = assumedSize(attributes, 'width', assumedWidthM);
    return { features: [{ ...attributes, widthM: assumedWidthM, shape }], findings: [assumed] };
  }
  if (shape.type === 'point' && assumedRadiusM !== undefined && attributes.radiusM === undefined) {
    const assumed = assumedSize(attributes, 'radius', assumedRadiusM);
    return { features: [{ ...attributes, radiusM: assumedRadiusM, shape }], findings: [assumed] };
  }
  return { features: [{ ...attributes, shape }], findings: [] };
}

function noWidth({ kind, pointer: subject }: FeatureAttributes): Finding {
  return {
    code: 'read-site.no-width',
    severity: 'caution',
    message: `The ${kind} is a line without a width; it was passed over.`,
    advice: `Give the ${kind} a width in metres, or draw it as a Polygon.`,
    subject,
  };
}

function assumedSize({ kind, pointer: subject }: FeatureAttributes, size: 'width' | 'radius', valueM: number): Finding {
  return {
    code: `read-site.assumed-${size}`,
    severity: 'caution',
    message: `The ${kind} has no ${size}; ${valueM} m is assumed (common practice, no source).`,
    advice: `Measure it and give ${size} in metres.`,
    value: valueM,
    unit: 'm',
    subject,
  };
}

const WRITTEN_AS: Readonly<Record<LonLatShape['type'], string>> = {
  area: 'a Polygon',
  line: 'a LineString',
  point: 'a Point',
};

/** A site has one fixed charging station: the first point of the first. */
function keepOneStation(features: readonly SiteFeature[]): {
  readonly features: readonly SiteFeature[];
  readonly findings: readonly Finding[];
} {
  const stations = features.filter((feature) => feature.kind === 'station');
  const [first] = stations;
  if (first === undefined || first.shape.type !== 'point') return { features, findings: [] };
  const points = stations.flatMap(({ shape }) => (shape.type === 'point' ? shape.points : []));
  if (points.length === 1) return { features, findings: [] };
  const kept: SiteFeature = { ...first, shape: { type: 'point', points: points.slice(0, 1) } };
  return {
    features: features.flatMap((feature) => (feature === first ? [kept] : feature.kind === 'station' ? [] : [feature])),
    findings: [
      {
        code: 'read-site.several-stations',
        severity: 'caution',
        message: `${points.length} stations are given; the first one is used.`,
        advice: 'Keep the one station that is meant.',
        value: points.length,
        limit: 1,
        unit: '1',
        subject: first.pointer,
      },
    ],
  };
}
