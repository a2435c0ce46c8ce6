/* Long because the whole take-off is reckoned again in one place, by arithmetic of its own. */
import type { Plan, PlanFeature } from '#geo-core/model/plan.ts';
import type { Decimal, PriceItemInput, PricesInput } from '#geo-core/model/price-book.ts';
import { type Fraction, fraction, over, plus, rounded, same, text, times, upTo } from './fractions.ts';
import { awayM, distanceM } from './measure-again.ts';

/**
 * The take-off of a plan reckoned again from its GeoJSON and the firm's price book alone, which must name every price and every hour: no
 * code of the planner, money in fractions of whole numbers. Everything in which the plan contradicts itself; empty where it does not.
 *
 * Lengths that the plan states are decimals of nine places: sums of them stray by 1e-9 each. Lengths measured on positions of nine decimals
 * of a degree stray by 0.08 mm a position (see measure-again.ts).
 */
export function takeOffContradictions(plan: Plan, prices: PricesInput): readonly string[] {
  const told: string[] = [];
  const say = (what: string, isTrue: boolean): void => {
    if (!isTrue) told.push(what);
  };
  const near = (what: string, said: number | null, found: number, within: number): void =>
    say(`${what}: said ${said}, reckoned ${found}`, said !== null && Math.abs(said - found) <= within);
  if (plan.takeoff.wire.length === 0) return told;
  wireAgain(plan, say, near);
  stretchesAgain(plan, say, near);
  spoolsAgain(plan, prices, say, near);
  linesAgain(plan, prices, say);
  moneyAgain(plan, prices, say);
  return told;
}

type Say = (what: string, isTrue: boolean) => void;
type Near = (what: string, said: number | null, found: number, within: number) => void;

const SUM_M = 1e-6;
const PLACE_M = 0.000_16;

function featuresOf<Kind extends PlanFeature['properties']['kind']>(plan: Plan, kind: Kind) {
  return plan.features.flatMap(({ id, properties, geometry }) =>
    properties.kind === kind
      ? [{ id, geometry, properties: properties as Extract<PlanFeature['properties'], { kind: Kind }> }]
      : [],
  );
}

function positions({ geometry }: Pick<PlanFeature, 'geometry'>): readonly (readonly number[])[] {
  if (geometry.type === 'LineString') return geometry.coordinates;
  return geometry.type === 'MultiLineString' ? geometry.coordinates.flat() : [];
}

/** Wire of every route: length as measured, on the ground, corners counted, spares, reserve; the parts make the routes and the summary. */
function wireAgain(plan: Plan, say: Say, near: Near): void {
  const { takeoff, rules, summary } = plan;
  const routes = featuresOf(plan, 'route');
  say('an order for every route', takeoff.wire.length === routes.length);
  for (const route of routes) {
    const { signalUnit, lengthM, groundLengthM } = route.properties;
    const order = takeoff.wire.find((one) => one.signalUnit === signalUnit);
    if (order === undefined) continue;
    const line = positions(route);
    let measuredM = 0;
    for (let i = 1; i < line.length; i++) measuredM += distanceM(line[i - 1], line[i]);
    near(`wire of ${route.id}`, order.lengthM, measuredM, PLACE_M * line.length);
    near(`wire of ${route.id}`, order.lengthM, lengthM, SUM_M);
    say(`slopes of ${route.id}`, (order.groundLengthM === null) === (groundLengthM === null));
    if (groundLengthM !== null) near(`ground of ${route.id}`, order.groundLengthM, groundLengthM, SUM_M);
    const parts = takeoff.parts.filter((one) => one.signalUnit === signalUnit);
    near(`parts of ${route.id}`, order.lengthM, sum(parts.map((part) => part.lengthM)), SUM_M);
    if (order.groundLengthM !== null)
      near(`parts on the ground`, order.groundLengthM, sum(parts.map((part) => part.groundLengthM ?? 0)), SUM_M);
    if (route.geometry.type === 'LineString') {
      const [least, most] = cornersOf(line);
      const counted = sum(parts.map(({ corners }) => corners));
      say(`${route.id} has ${least} to ${most} corners, not ${counted}`, counted >= least && counted <= most);
    }
    near('slack', order.cornersM, sum(parts.map(({ corners }) => corners)) * rules.cornerSpareM, SUM_M);
    near('spare ends', order.endsM, 2 * rules.endSpareM, SUM_M);
    const neededM = (order.groundLengthM ?? order.lengthM) + order.cornersM + order.endsM;
    near('reserve', order.reserveM, (neededM * rules.reservePct) / 100, SUM_M);
    near('order', order.orderM, neededM + order.reserveM, SUM_M);
  }
  const partsM = (of: string): number => sum(takeoff.parts.filter((one) => one.of === of).map((one) => one.lengthM));
  near('boundary', summary.boundaryLengthM, partsM('boundary'), SUM_M);
  near('keep-outs', summary.keepOutLengthM, partsM('keep-out'), SUM_M);
  near('leads, both ways', 2 * summary.leadLengthM, partsM('lead'), SUM_M);
  for (const { id, properties } of featuresOf(plan, 'lead')) {
    const part = takeoff.parts.filter((one) => one.id === id);
    near(`wire of ${id}`, sum(part.map((one) => one.lengthM)), 2 * properties.lengthM, SUM_M);
  }
  for (const kind of ['boundary-loop', 'keep-out-loop'] as const)
    for (const { id, properties } of featuresOf(plan, kind))
      for (const part of takeoff.parts.filter((one) => one.id === id))
        near(`wire of ${id}`, part.lengthM, properties.perimeterM, SUM_M);
}

/** Least and most turns of 30 degrees or more that positions of nine decimals leave open, the ends of the wire left out. */
function cornersOf(line: readonly (readonly number[])[]): readonly [number, number] {
  let [least, most] = [0, 0];
  for (let i = 1; i + 1 < line.length; i++) {
    const turnDeg = (Math.abs(turn(line[i - 1], line[i], line[i + 1])) * 180) / Math.PI;
    const shortM = Math.min(distanceM(line[i - 1], line[i]), distanceM(line[i], line[i + 1]));
    const openDeg = 0.01 + (Math.atan2(2 * PLACE_M, shortM) * 180) / Math.PI;
    if (turnDeg >= 30 + openDeg) least++;
    if (turnDeg >= 30 - openDeg) most++;
  }
  return [least, most];
}

function turn(a: readonly number[], b: readonly number[], c: readonly number[]): number {
  // A degree east by a degree north on the WGS 84 ellipsoid (see measure-again.ts).
  const latitude = (b[1] * Math.PI) / 180;
  const e2 = 0.006_694_379_990_141_317;
  const wide = (Math.cos(latitude) * (1 - e2 * Math.sin(latitude) ** 2)) / (1 - e2);
  const [ux, uy, vx, vy] = [(b[0] - a[0]) * wide, b[1] - a[1], (c[0] - b[0]) * wide, c[1] - b[1]];
  return Math.atan2(ux * vy - uy * vx, ux * vx + uy * vy);
}

/** Every route from its first to its last metre, its parts whole, of every lead half shared. */
function stretchesAgain({ takeoff }: Plan, say: Say, near: Near): void {
  for (const { signalUnit, lengthM } of takeoff.wire) {
    const own = takeoff.stretches.filter((one) => one.signalUnit === signalUnit);
    say('a route begins at 0', own[0]?.fromM === 0);
    for (let i = 1; i < own.length; i++) near('stretches', own[i].fromM, own[i - 1].toM, SUM_M);
    near('the last stretch', own[own.length - 1]?.toM ?? null, lengthM, SUM_M);
  }
  for (const part of takeoff.parts) {
    const own = takeoff.stretches.filter((one) => one.id === part.id && one.signalUnit === part.signalUnit);
    const lengthsM = sum(own.map(({ fromM, toM }) => toM - fromM));
    near(`stretches of ${part.id}`, part.lengthM, lengthsM, SUM_M);
    const sharedM = sum(own.filter(({ shared }) => shared).map(({ fromM, toM }) => toM - fromM));
    near(`shared wire of ${part.id}`, sharedM, part.of === 'lead' ? part.lengthM / 2 : 0, SUM_M);
  }
}

/** Spools on offer, laid one after the other, holding what they lay; splices where they end and nobody is hindered. */
function spoolsAgain(plan: Plan, prices: PricesInput, say: Say, near: Near): void {
  const { takeoff, rules, summary, findings } = plan;
  const sizes = prices.spools?.map(({ lengthM }) => lengthM) ?? [];
  const onOffer = sizes.length > 0 ? sizes : [rules.spoolM];
  const splices = featuresOf(plan, 'splice').map(({ id, properties }) => ({ id, ...properties }));
  say('spools are counted', summary.spoolCount === takeoff.spools.length);
  say('splices are counted', summary.spliceCount === splices.length);
  const share = 1 + rules.reservePct / 100;
  for (const { lengthM, usedM, leftM, lays } of takeoff.spools) {
    say(`a spool of ${lengthM} m is on offer`, onOffer.includes(lengthM));
    near('left on a spool', leftM, lengthM - usedM, SUM_M);
    say(`a spool of ${lengthM} m holds ${usedM} m`, usedM <= lengthM + SUM_M);
    const neededM = sum(
      lays.map(({ signalUnit, fromM, toM }) => {
        const total = takeoff.wire.find((one) => one.signalUnit === signalUnit)?.lengthM ?? 0;
        const ends = (fromM === 0 ? rules.endSpareM : 0) + (Math.abs(toM - total) < SUM_M ? rules.endSpareM : 0);
        return needBetween(plan, signalUnit, fromM, toM) + ends;
      }),
    );
    near('used of a spool', usedM, neededM * share, 1e-5);
  }
  for (const { signalUnit, lengthM } of takeoff.wire) {
    const laid = takeoff.spools.flatMap(({ lays }) => lays.filter((one) => one.signalUnit === signalUnit));
    const ends = laid.slice(0, -1).map(({ toM }) => toM);
    const spliced = splices.filter((one) => one.signalUnit === signalUnit).map(({ chainageM }) => chainageM);
    say(`splices at ${spliced}, spools end at ${ends}`, spliced.length === ends.length);
    for (const [i, endM] of ends.entries()) near('a splice', spliced[i] ?? null, endM, SUM_M);
    near('the last spool', laid[laid.length - 1]?.toM ?? null, lengthM, SUM_M);
    const atStationM = Math.min(lengthM / 2, Math.max(rules.stationStraightBeforeM, rules.stationStraightBehindM));
    for (const { id, chainageM } of splices.filter((one) => one.signalUnit === signalUnit)) {
      if (findings.some(({ code, subject }) => code === 'set-out.splice-not-reachable' && subject === id)) continue;
      const isFree = chainageM >= atStationM - SUM_M && chainageM <= lengthM - atStationM + SUM_M;
      say(`${id} at ${chainageM} is off the station`, isFree);
      say(
        `${id} is not under paving`,
        !takeoff.stretches.some(
          (one) =>
            one.over === 'crossing' && one.signalUnit === signalUnit && one.fromM < chainageM && chainageM < one.toM,
        ),
      );
      say(`${id} is in no passage`, passagesClear(plan, id));
    }
  }
}

/** Wire between two chainages without ends and reserve: every part evenly as long as it says. */
function needBetween({ takeoff, rules }: Plan, signalUnit: number, fromM: number, toM: number): number {
  return sum(
    takeoff.stretches
      .filter((one) => one.signalUnit === signalUnit)
      .map((one) => {
        const insideM = Math.max(0, Math.min(toM, one.toM) - Math.max(fromM, one.fromM));
        const part = takeoff.parts.find(({ id, signalUnit: unit }) => id === one.id && unit === signalUnit);
        if (part === undefined || part.lengthM === 0) return 0;
        const wireM = (part.groundLengthM ?? part.lengthM) + part.corners * rules.cornerSpareM;
        return (insideM * wireM) / part.lengthM;
      }),
  );
}

function passagesClear(plan: Plan, spliceId: string): boolean {
  const splice = plan.features.find(({ id }) => id === spliceId);
  if (splice?.geometry.type !== 'Point') return false;
  const at = splice.geometry.coordinates;
  return featuresOf(plan, 'passage').every((passage) => awayM(positions(passage), at) >= plan.rules.mowWidthM / 2);
}

/** Every quantity of every line, none forgotten. */
function linesAgain(plan: Plan, prices: PricesInput, say: Say): void {
  const { takeoff } = plan;
  const stations = featuresOf(plan, 'station');
  const charging = stations.filter(({ properties }) => properties.role === 'charging').length;
  const routes = takeoff.wire.length;
  const laidM = (over?: string): Fraction =>
    metres(
      sum(
        takeoff.stretches
          .filter((one) => !one.shared && (over === undefined || one.over === over))
          .map(({ fromM, toM }) => toM - fromM),
      ),
    );
  const cableM = metres(sum(featuresOf(plan, 'supply-cable').map(({ properties }) => properties.lengthM)));
  const splices = fraction(featuresOf(plan, 'splice').length);
  const hour = (rate: keyof NonNullable<PricesInput['hours']>): Fraction => fraction(prices.hours?.[rate] ?? 'none');
  const units = fraction(Math.max(0, routes - charging));
  const keepOuts = fraction(takeoff.parts.filter(({ of }) => of === 'keep-out').length);
  const laying = [
    times(laidM('soft'), hour('layingSoftPerM')),
    times(laidM('firm'), hour('layingFirmPerM')),
    times(laidM('hard'), hour('layingHardPerM')),
    times(splices, hour('perSplice')),
  ].reduce(plus);
  const station = [
    times(cableM, hour('supplyCablePerM')),
    times(fraction(charging), hour('perChargingStation')),
    times(units, hour('perSignalUnit')),
  ].reduce(plus);
  const expected: Readonly<Record<string, Fraction>> = {
    wire: upTo(metres(sum(takeoff.wire.map(({ orderM }) => orderM))), 2),
    spool: fraction(takeoff.spools.length),
    splice: splices,
    'end-connector': fraction(2 * routes),
    'supply-cable': upTo(cableM, 2),
    conduit: upTo(laidM('crossing'), 2),
    'station-screws': fraction(charging),
    'signal-unit': units,
    'warning-sign': fraction(routes),
    'labour-setting-out': upTo(times(laidM(), hour('settingOutPerM')), 2),
    'labour-laying': upTo(laying, 2),
    'labour-crossing': upTo(times(laidM('crossing'), hour('crossingPerM')), 2),
    'labour-keep-out': upTo(times(keepOuts, hour('perKeepOutLoop')), 2),
    'labour-station': upTo(station, 2),
    'labour-commissioning': upTo(times(fraction(routes), hour('commissioningPerRoute')), 2),
  };
  const counted = (code: string): Fraction =>
    takeoff.lines
      .filter((line) => line.code === code)
      .map((line) => fraction(line.quantity))
      .reduce(plus, fraction(0));
  // Stated lengths are rounded to nine decimals and quantities to six: a sum may fall a hundredth to either side of a hundredth.
  const hair = fraction('0.01');
  for (const [code, want] of Object.entries(expected)) {
    const have = counted(code);
    const isWhole = !/wire|cable|conduit|labour/.test(code);
    const isNear = [plus(want, hair), plus(have, hair)].some((one, i) => same(one, i === 0 ? have : want));
    const isOnEdge = !isWhole && isNear && Math.abs((Number(text(want)) * 100) % 1) < 1e-3;
    say(`${code}: ${text(have)} in the lines, ${text(want)} reckoned`, same(have, want) || isOnEdge);
  }
  pegsAgain(plan, say);
  const known = new Set([...Object.keys(expected), 'peg', 'peg-soft-ground', 'peg-hard-ground']);
  for (const { code } of takeoff.lines) say(`a line ${code} that nobody asked for`, known.has(code));
}

function pegsAgain(plan: Plan, say: Say): void {
  const { takeoff, summary } = plan;
  const pegs = featuresOf(plan, 'peg');
  say('pegs are counted', summary.pegCount === pegs.length);
  const count = (code: string): number =>
    sum(takeoff.lines.filter((line) => line.code === code).map(({ quantity }) => quantity));
  const total = count('peg') + count('peg-soft-ground') + count('peg-hard-ground');
  say(`${total} pegs in the lines, ${pegs.length} on the drawing`, total === pegs.length);
  for (const ground of ['soft', 'hard'] as const) {
    const stretches = takeoff.stretches.filter(({ over: kind }) => kind === ground);
    const standing = (withinM: number): number =>
      pegs.filter(({ properties: { signalUnit, chainageM } }) =>
        stretches.some(
          (one) => one.signalUnit === signalUnit && one.fromM - withinM <= chainageM && chainageM <= one.toM + withinM,
        ),
      ).length;
    const said = count(`peg-${ground}-ground`);
    // A peg where two grounds meet may count for either.
    say(`${said} pegs in ${ground} ground`, said >= standing(-SUM_M) && said <= standing(SUM_M));
  }
}

/** Lines, discounts, taxes, total, all in fractions. */
function moneyAgain(plan: Plan, prices: PricesInput, say: Say): void {
  const { takeoff } = plan;
  const decimals = { JPY: 0, KWD: 3 }[takeoff.currency] ?? 2;
  const half = prices.rounding?.half ?? 'up';
  const byLine = (prices.rounding?.at ?? 'line') === 'line';
  const round = (amount: Fraction): Fraction => rounded(amount, decimals, half);
  const exactly = (what: string, said: number, found: Fraction): void =>
    say(`${what}: said ${said}, reckoned ${text(found)}`, same(fraction(said), found));
  say('currency', takeoff.currency === prices.currency && takeoff.minorUnits === decimals);
  const hundred = fraction(100);
  const less = (pct: Decimal | undefined): Fraction =>
    over(plus(hundred, times(fraction(-1), fraction(pct ?? 0))), hundred);
  const sums = new Map<string, Fraction>();
  for (const line of takeoff.lines) {
    const item = prices.items?.[line.code];
    const own: PriceItemInput = typeof item === 'object' ? item : item === undefined ? {} : { price: item };
    const size = prices.spools?.find(({ lengthM }) => line.code === 'spool' && line.what.endsWith(`, ${lengthM} m`));
    const margin = own.marginPct ?? prices.marginPct ?? 0;
    const cost = fraction(size?.price ?? own.price ?? 'none');
    const unitPrice = Number(margin) === 0 ? cost : rounded(over(cost, less(margin)), decimals + 2, half);
    exactly(`unit price of ${line.code}`, line.unitPrice, unitPrice);
    const exact = times(times(fraction(line.quantity), unitPrice), less(own.discountPct));
    const amount = byLine ? round(exact) : exact;
    exactly(`amount of ${line.code}`, line.amount, amount);
    const rate = own.tax ?? 'standard';
    say(`tax of ${line.code}`, line.tax === rate);
    sums.set(rate, plus(sums.get(rate) ?? fraction(0), amount));
  }
  let [subtotal, discount, net, tax] = [fraction(0), fraction(0), fraction(0), fraction(0)];
  for (const [name, lines] of sums) {
    const pct = fraction((name === 'standard' ? prices.taxPct : prices.taxes?.[name]) ?? 0);
    const sumOf = round(lines);
    const off = round(times(sumOf, over(fraction(prices.discountPct ?? 0), hundred)));
    const left = plus(sumOf, times(fraction(-1), off));
    const divisor = prices.pricesIncludeTax ? plus(hundred, pct) : hundred;
    const ofIt = round(over(times(left, pct), divisor));
    const share = takeoff.taxes.find((one) => one.name === name);
    exactly(`tax ${name}`, share?.tax ?? Number.NaN, ofIt);
    const netOf = prices.pricesIncludeTax ? plus(left, times(fraction(-1), ofIt)) : left;
    exactly(`net ${name}`, share?.net ?? Number.NaN, netOf);
    [subtotal, discount, net, tax] = [plus(subtotal, sumOf), plus(discount, off), plus(net, netOf), plus(tax, ofIt)];
  }
  exactly('subtotal', takeoff.subtotal, subtotal);
  exactly('discount', takeoff.discount, discount);
  exactly('net', takeoff.net, net);
  exactly('tax', takeoff.tax, tax);
  const step = prices.rounding?.cashStep;
  const total = plus(net, tax);
  const paid = step === undefined ? total : times(rounded(over(total, fraction(step)), 0, half), fraction(step));
  exactly('total', takeoff.priceTotal, paid);
  exactly('cash', takeoff.cashRounding, plus(paid, times(fraction(-1), total)));
  exactly('summary', plan.summary.priceTotal, paid);
}

/** A length as a decimal of six places: what is below a micrometre is dust. */
function metres(lengthM: number): Fraction {
  return rounded(fraction(lengthM), 6, 'up');
}

function sum(values: readonly number[]): number {
  return values.reduce((total, value) => total + value, 0);
}
