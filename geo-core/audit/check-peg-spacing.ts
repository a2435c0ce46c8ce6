import type { AuditCheck, Lead, Peg } from '#geo-core/model/plane-plan.ts';
import { alongLine } from './along-line.ts';
import type { Evidence } from './evidence.ts';
import { pegsOfUnit } from './pegs-of-unit.ts';
import { worstCase } from './worst-case.ts';

const SAME_PLACE_M = 1e-6;

/**
 * On every stretch of a loop no two neighbouring pegs are farther apart than the rule: trial pegs among themselves, then
 * all pegs. A peg on a lead holds both of its wires, so a lead's pegs count whichever way they were set.
 * Worst is the largest excess, metres.
 */
export function checkPegSpacing({ route, settingOut, rules }: Evidence): AuditCheck {
  const worst = worstCase('peg-spacing', 'm', SAME_PLACE_M);
  const onLeads = new Map(route.leads.map((lead) => [lead.id, { lead, pegs: [] as Peg[] }]));
  for (const { signalUnit, spans, line, chainageM } of route.routes) {
    const pegs = pegsOfUnit(settingOut.pegs, signalUnit);
    let first = 0;
    for (const { id, firstVertex, lastVertex } of spans) {
      const [fromM, toM] = [chainageM[firstVertex], chainageM[lastVertex]];
      while (first < pegs.length && pegs[first].chainageM < fromM - SAME_PLACE_M) first++;
      const own = onLeads.get(id)?.pegs;
      let [anyM, trialM] = [fromM, fromM];
      let at = { x: line[2 * firstVertex], y: line[2 * firstVertex + 1] };
      for (let k = first; k < pegs.length && pegs[k].chainageM <= toM + SAME_PLACE_M; k++) {
        own?.push(pegs[k]);
        if (own !== undefined) continue;
        at = pegs[k].at;
        worst.see(pegs[k].chainageM - anyM - rules.pegSpacingM, at);
        anyM = pegs[k].chainageM;
        if (pegs[k].pass !== 'trial') continue;
        worst.see(anyM - trialM - rules.pegTrialSpacingM, at);
        trialM = anyM;
      }
      if (own !== undefined) continue;
      worst.see(toM - anyM - rules.pegSpacingM, at);
      worst.see(toM - trialM - rules.pegTrialSpacingM, at);
    }
  }
  for (const { lead, pegs } of onLeads.values()) {
    const at = { x: lead.line[0], y: lead.line[1] };
    const trial = pegs.filter(({ pass }) => pass === 'trial');
    worst.see(widestGapM(lead, pegs) - rules.pegSpacingM, at);
    worst.see(widestGapM(lead, trial) - rules.pegTrialSpacingM, at);
  }
  return worst.check();
}

function widestGapM({ line, lengthM }: Lead, pegs: readonly Peg[]): number {
  const placesM = [lengthM, ...pegs.map(({ at }) => alongLine(line, at.x, at.y).alongM)].sort((a, b) => a - b);
  let [widestM, beforeM] = [0, 0];
  for (const placeM of placesM) {
    widestM = Math.max(widestM, placeM - beforeM);
    beforeM = placeM;
  }
  return widestM;
}
