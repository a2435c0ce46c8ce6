import type { SiteGeometryInput } from '#geo-core/model/site.ts';

/** A site on the drawing table. Values are never changed in place, so that undo is a matter of keeping the one before. */
export type SiteDocument = {
  /** Everything of the FeatureCollection but its features: name, rules, prices, quiet hours, ... */
  readonly members: Readonly<Record<string, unknown>>;
  readonly features: readonly SiteFeature[];
};

export type SiteFeature = {
  /** Of the table only: a file's own `id` stays what it was. */
  readonly key: string;
  readonly id?: string | number;
  readonly properties: Readonly<Record<string, unknown>>;
  readonly geometry: SiteGeometryInput;
};

export const EMPTY_DOCUMENT: SiteDocument = {
  members: { type: 'FeatureCollection' },
  features: [],
};

/** What the planner reads. Positions keep nine decimals of a degree: a tenth of a millimetre. */
export function documentText({ members, features }: SiteDocument): string {
  return JSON.stringify({
    ...members,
    type: 'FeatureCollection',
    features: features.map(({ id, properties, geometry }) => ({
      type: 'Feature',
      ...(id === undefined ? {} : { id }),
      properties,
      geometry,
    })),
  });
}

/** The site of a file that the planner could read. Throws a SyntaxError where it is no JSON. */
export function readDocument(text: string): SiteDocument {
  const { features, ...members }: { features: unknown } & Record<string, unknown> = JSON.parse(text);
  const listed: readonly unknown[] = Array.isArray(features) ? features : [];
  return {
    members,
    features: listed
      .filter(isDrawable)
      .map((feature, i) => ({ ...feature, key: `given-${i}`, properties: feature.properties ?? {} })),
  };
}

type Drawable = Omit<SiteFeature, 'key' | 'properties'> & { readonly properties: SiteFeature['properties'] | null };

function isDrawable(feature: unknown): feature is Drawable {
  return typeof feature === 'object' && feature !== null && 'geometry' in feature && feature.geometry !== null;
}

export function kindOf({ properties }: SiteFeature): string {
  return typeof properties.kind === 'string' ? properties.kind : '';
}

/** A key that no feature of the document has. */
export function freshKey({ features }: SiteDocument): string {
  const taken = new Set(features.map(({ key }) => key));
  let number = features.length;
  while (taken.has(`drawn-${number}`)) number++;
  return `drawn-${number}`;
}

/** The document with a feature added, or in the place of the one with its key. */
export function withFeature(document: SiteDocument, feature: SiteFeature): SiteDocument {
  const known = document.features.some(({ key }) => key === feature.key);
  const features = known
    ? document.features.map((each) => (each.key === feature.key ? feature : each))
    : [...document.features, feature];
  return { ...document, features };
}

export function withoutFeatures(document: SiteDocument, keys: readonly string[]): SiteDocument {
  return { ...document, features: document.features.filter(({ key }) => !keys.includes(key)) };
}
