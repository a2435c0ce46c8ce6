import { usSummary } from '#api/plan/us-summary.ts';
import type { Plan, PlanFinding } from '#geo-core/model/plan.ts';

const WIDTH = 100;

/** A plan as a foreman reads it on a terminal: figures, findings by severity, take-off, audit. Plain text. */
export function planReport(plan: Plan, units: 'metric' | 'us'): string {
  const sections = [
    heading(plan),
    columns(figures(plan, units)),
    ...(['stop', 'caution', 'note'] as const).flatMap((severity) => findingsOf(plan, severity)),
    takeOff(plan),
    audit(plan),
    cautions(plan),
  ];
  return `${sections.filter((section) => section !== '').join('\n\n')}\n`;
}

function heading(plan: Plan): string {
  const title = plan.name ?? (plan.id === null ? 'Plan' : `Plan ${plan.id}`);
  return `${title}\n${'='.repeat(title.length)}\nRule set: ${plan.rules.name}`;
}

type Row = readonly [name: string, figure: string];

function figures({ summary, takeoff }: Plan, units: 'metric' | 'us'): Row[] {
  const us = usSummary(summary);
  const isUs = units === 'us';
  const area = (m2: number, ft2: number): string => (isUs ? `${ft2.toFixed(0)} ft²` : `${m2.toFixed(1)} m²`);
  const length = (metres: number, feet: number): string => (isUs ? `${feet.toFixed(1)} ft` : `${metres.toFixed(2)} m`);
  const known = (value: number | null, unit: string): string =>
    value === null ? 'not known' : `${value.toFixed(1)} ${unit}`;
  return [
    ['Lawn', area(summary.lawnAreaM2, us.lawnAreaFt2)],
    ['Working area', area(summary.workingAreaM2, us.workingAreaFt2)],
    ['Route', length(summary.routeLengthM, us.routeLengthFt)],
    ['  boundary', length(summary.boundaryLengthM, us.boundaryLengthFt)],
    ['  keep-outs', length(summary.keepOutLengthM, us.keepOutLengthFt)],
    ['  leads (twice)', length(summary.leadLengthM, us.leadLengthFt)],
    ['Zones', String(summary.zoneCount)],
    ['  reachable', area(summary.reachableAreaM2, us.reachableAreaFt2)],
    ['  narrow passage', area(summary.narrowPassageAreaM2, us.narrowPassageAreaFt2)],
    ['  isolated', area(summary.isolatedAreaM2, us.isolatedAreaFt2)],
    ['Mown by hand', area(summary.handMowAreaM2, us.handMowAreaFt2)],
    ['Steepest ground', known(summary.maxSlopePct, '%')],
    ['Resistance', known(summary.resistanceOhm, 'ohm')],
    ['Mowing', `${summary.hoursPerWeek.toFixed(1)} h/week`],
    ['Pegs', String(summary.pegCount)],
    ['Splices', String(summary.spliceCount)],
    ['Spools', String(summary.spoolCount)],
    ['Price', `${summary.priceTotal.toFixed(takeoff.minorUnits)} ${summary.currency}`],
  ];
}

function columns(rows: readonly Row[]): string {
  const nameWidth = Math.max(...rows.map(([name]) => name.length));
  const figureWidth = Math.max(...rows.map(([, figure]) => figure.length));
  return rows.map(([name, figure]) => `${name.padEnd(nameWidth)}  ${figure.padStart(figureWidth)}`).join('\n');
}

const SEVERITY_TITLES = {
  stop: 'STOP, do not lay before this is settled',
  caution: 'Mind',
  note: 'Noted',
} as const;

function findingsOf(plan: Plan, severity: PlanFinding['severity']): string[] {
  const found = plan.findings.filter((finding) => finding.severity === severity);
  if (found.length === 0) return [];
  const lines = found.map((finding) => {
    const where = finding.subject === null ? '' : ` [${finding.subject}]`;
    return `${wrapped('- ', '  ', finding.message + where)}\n${wrapped('  ', '  ', `${finding.advice} (${finding.code})`)}`;
  });
  return [`${SEVERITY_TITLES[severity]} (${found.length})\n${lines.join('\n')}`];
}

function takeOff({ takeoff }: Plan): string {
  if (takeoff.lines.length === 0) return '';
  const { currency, minorUnits } = takeoff;
  const money = (amount: number): string => amount.toFixed(minorUnits);
  const rows = takeoff.lines.map(({ what, quantity, unit, unitPrice, discountPct, amount }) => [
    discountPct === 0 ? what : `${what}, less ${discountPct} %`,
    `${Number(quantity.toFixed(2))} ${unit}`,
    `${unitPrice}`,
    money(amount),
  ]);
  const sum = (what: string, amount: number): string[][] => (amount === 0 ? [] : [[what, '', '', money(amount)]]);
  const taxes = takeoff.taxes.flatMap(({ pct, tax }) =>
    sum(`${takeoff.pricesIncludeTax ? 'of that tax' : 'tax'} ${pct} %`, tax),
  );
  const totals = [
    ...sum(`discount ${takeoff.discountPct} %`, -takeoff.discount),
    ...(takeoff.pricesIncludeTax || taxes.length === 0 ? [] : sum('net', takeoff.net)),
    ...(takeoff.pricesIncludeTax ? [] : taxes),
    ...sum('rounded for cash', takeoff.cashRounding),
    [`total ${currency}${taxes.length === 0 ? ', no tax' : ''}`, '', '', money(takeoff.priceTotal)],
    ...(takeoff.pricesIncludeTax ? taxes : []),
  ];
  const table = [['Take-off', 'quantity', 'each', takeoff.currency], ...rows, ...totals];
  const widths = [0, 1, 2, 3].map((column) => Math.max(...table.map((row) => row[column].length)));
  return table
    .map((row) => row.map((cell, i) => (i === 0 ? cell.padEnd(widths[i]) : cell.padStart(widths[i]))).join('  '))
    .join('\n');
}

function audit(plan: Plan): string {
  const failed = plan.audit.checks.filter((check) => !check.passed);
  if (plan.audit.passed) return `Audit: passed, ${plan.audit.checks.length} checks`;
  const lines = failed.map(({ code, worst, limit, unit }) => `- ${code}: ${worst} ${unit}, limit ${limit} ${unit}`);
  return `Audit: FAILED, ${failed.length} of ${plan.audit.checks.length} checks\n${lines.join('\n')}`;
}

function cautions(plan: Plan): string {
  return ['Before and while laying', ...plan.cautions.map((caution) => wrapped('- ', '  ', caution))].join('\n');
}

/** Text in lines of at most WIDTH, the first behind `first`, the others behind `rest`. */
function wrapped(first: string, rest: string, text: string): string {
  const lines: string[] = [];
  let line = first;
  let isEmpty = true;
  for (const word of text.split(' ')) {
    if (!isEmpty && line.length + 1 + word.length > WIDTH) {
      lines.push(line);
      line = rest;
      isEmpty = true;
    }
    line += isEmpty ? word : ` ${word}`;
    isEmpty = false;
  }
  return [...lines, line].join('\n');
}
