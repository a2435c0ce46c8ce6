import type { SiteFeatureInput, SiteInput } from '#geo-core/model/site.ts';
import { drawSite, rectangle, siteOf } from './plane-site.ts';

const draw = drawSite();

/** An invented lawn of 20 by 15 metres with a flower bed in it and an outlet at its edge. */
export function garden(...more: readonly SiteFeatureInput[]): SiteInput {
  return siteOf(
    [
      draw.area('lawn', [rectangle(0, 0, 20, 15)]),
      draw.area('keep-out', [rectangle(9, 6, 2, 2)]),
      draw.point('outlet', 2, -0.5),
      ...more,
    ],
    { id: 'test-garden', name: 'Test garden' },
  );
}
