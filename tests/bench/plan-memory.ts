import { setFlagsFromString } from 'node:v8';
import { runInNewContext } from 'node:vm';
import { RULE_SETS } from '#geo-core/model/rules.ts';
import type { SiteInput } from '#geo-core/model/site.ts';
import { planSite } from '#geo-core/plan-site.ts';
import { gardenOfSize, typicalGarden, typicalParcel } from './bench-gardens.ts';
import { quantile, seededRandom, table } from './statistics.ts';

/**
 * Memory of plans: what one plan allocates (heap and typed arrays, as far as no collection falls into it: the median of the plans
 * tells), and what stays after many plans whose results are dropped.
 */

const KB = 1024;

export function benchMemory(seed: number): string {
  setFlagsFromString('--expose-gc');
  const collect: () => void = runInNewContext('gc');
  const random = seededRandom(seed);
  const kinds: readonly { readonly name: string; readonly plans: number; readonly draw: () => SiteInput }[] = [
    { name: 'typical garden', plans: 40, draw: () => typicalGarden(random) },
    { name: 'typical parcel', plans: 40, draw: () => typicalParcel(random) },
    { name: '400 vertices, 15 keep-outs', plans: 12, draw: () => gardenOfSize(400, 15, random) },
    { name: '2000 vertices, 30 keep-outs', plans: 4, draw: () => gardenOfSize(2000, 30, random) },
  ];
  const rows = kinds.map(({ name, plans, draw }) => {
    const sites = Array.from({ length: plans }, draw);
    for (const site of sites) planSite(site, RULE_SETS[0]);
    const allocated = sites.map((site) => {
      collect();
      const before = usedBytes();
      planSite(site, RULE_SETS[0]);
      return usedBytes() - before;
    });
    collect();
    const before = usedBytes();
    for (const site of sites) planSite(site, RULE_SETS[0]);
    collect();
    const kept = (usedBytes() - before) / plans;
    const planKb = JSON.stringify(planSite(sites[0], RULE_SETS[0])).length / KB;
    return [name, (quantile(allocated, 0.5) / KB).toFixed(0), (kept / KB).toFixed(1), planKb.toFixed(0)];
  });
  return ['Memory, kB a plan', table([['site', 'allocated', 'kept after', 'plan as JSON'], ...rows])].join('\n\n');
}

function usedBytes(): number {
  const { heapUsed, arrayBuffers } = process.memoryUsage();
  return heapUsed + arrayBuffers;
}
