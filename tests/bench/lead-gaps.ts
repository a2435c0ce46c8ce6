import { planSite } from '#geo-core/index.ts';
import type { JoinedRoute } from '#geo-core/model/plane-plan.ts';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import { LAWN_PLACES, type RealLawn } from '../support/real-lawns.ts';
import { percent, quantile, table } from './statistics.ts';

/** How far the leads of the real lawns are above the length that no network is shorter than, by place. */
const AT_BOUND_PCT = 1e-6;

export function benchLeads(lawns: readonly RealLawn[]): string {
  const rules = RULE_SETS[0];
  const rows = LAWN_PLACES.map((place) => {
    const gapsPct = lawns
      .filter(({ name }) => name.startsWith(`${place} `))
      .flatMap(({ site }) => {
        let gapPct: number | undefined;
        planSite(site, rules, (stage, value) => {
          if (stage === '50-join-route') gapPct = (value as JoinedRoute).leadGapPct;
        });
        return gapPct ?? [];
      });
    const least = gapsPct.filter((gapPct) => gapPct < AT_BOUND_PCT).length;
    const shares = gapsPct.length === 0 ? [] : [0.5, 0.9, 1].map((share) => `${quantile(gapsPct, share).toFixed(2)} %`);
    return [place, String(gapsPct.length), percent(least / Math.max(1, gapsPct.length)), ...shares];
  });
  return [
    `Leads over the proven lower bound, rule set ${rules.name}`,
    table([['place', 'lawns with leads', 'proven least', 'median gap', 'p90 gap', 'worst gap'], ...rows]),
  ].join('\n\n');
}
