import { drawFurniture } from '#geo-core/formats/drawing/draw-furniture.ts';
import { drawGround } from '#geo-core/formats/drawing/draw-ground.ts';
import { drawLegend } from '#geo-core/formats/drawing/draw-legend.ts';
import { drawMarks } from '#geo-core/formats/drawing/draw-marks.ts';
import { drawnKinds, drawSite, framingPositions } from '#geo-core/formats/drawing/draw-site.ts';
import { drawWire } from '#geo-core/formats/drawing/draw-wire.ts';
import { INK } from '#geo-core/formats/drawing/ink.ts';
import { keepInside } from '#geo-core/formats/drawing/keep-inside.ts';
import { sans, serif } from '#geo-core/formats/drawing/lettering.ts';
import { element, group, type MarkUp } from '#geo-core/formats/drawing/mark-up.ts';
import { type Placement, placePlan } from '#geo-core/formats/drawing/placement.ts';
import type { Plan } from '#geo-core/model/plan.ts';
import { positionsOf } from '#geo-core/model/plan-geometry.ts';
import { outline, rule } from './drawing-lines.ts';
import type { Handover } from './handover.ts';
import type { DrawingBlock } from './paper.ts';
import type { PaperFrame } from './paper-frame.ts';
import { scaleWords } from './scale-words.ts';

const TITLE_STRIP_MM = 13;
const LEGEND_BESIDE_MM = 48;
const LEAST_HEIGHT_MM = 86;
/** Round the garden: labels, and below it scale bar and north arrow. */
const CLEAR = { side: 9, top: 9, bottom: 17 } as const;

/**
 * The garden as a landscape plan: frame, plan, scale bar, north arrow; the legend beside or under it, whichever leaves the plan
 * more room; a title strip at the bottom.
 */
export function gardenDrawing(
  { plan, site }: Handover,
  frame: PaperFrame,
  size: { readonly widthMm: number; readonly heightMaxMm: number },
  over: (place: Placement) => readonly MarkUp[] = () => [],
): DrawingBlock {
  const { wording } = frame;
  // A customer sees where the wire lies, not every peg of it.
  const shown = { ...plan, features: plan.features.filter(({ properties }) => !UNSEEN.has(properties.kind)) };
  const drawn = { plan: shown, siteKinds: drawnKinds(site.features) };
  const also = framingPositions(site.features);
  const placed = (width: number, height: number) =>
    placePlan(shown, { x: 0, y: 0, width, height }, wording, also, CLEAR);
  const heightMax = size.heightMaxMm - TITLE_STRIP_MM;
  const under = { x: 5, y: 0, width: size.widthMm - 10, columns: 3 };
  const underMm = drawLegend(drawn, under, wording).bottom + 4;
  const narrow = placed(size.widthMm - LEGEND_BESIDE_MM, heightMax);
  const wide = placed(size.widthMm, heightMax - underMm);
  const isBeside = narrow.scale <= wide.scale;
  const largest = isBeside ? narrow : wide;
  const heightMm = fieldHeight(shown, largest, also);
  const place = placed(largest.field.width, heightMm);
  const legend = isBeside
    ? drawLegend(drawn, { x: place.field.width + 4, y: 11, width: LEGEND_BESIDE_MM - 6, columns: 1 }, wording)
    : drawLegend(drawn, { ...under, y: heightMm + 4 }, wording);
  const stripTop = isBeside ? heightMm : heightMm + underMm;
  const whole = { width: size.widthMm, height: stripTop + TITLE_STRIP_MM };
  return {
    kind: 'drawing',
    page: 'in-text',
    widthMm: whole.width,
    heightMm: whole.height,
    alternative: alternativeFor(plan, frame, place),
    marks: [
      element('rect', { x: 0, y: 0, ...whole, fill: INK.paper }),
      gardenField(shown, site.features, place, over(place)),
      ...(plan.features.length > 0 ? [] : [nothingDrawn(place)]),
      ...(isBeside
        ? [
            rule(place.field.width, 0, place.field.width, heightMm),
            serif(wording.say('legend.title'), place.field.width + 4, 7, 4.2, 'start', { 'font-style': 'italic' }),
          ]
        : [rule(0, heightMm, size.widthMm, heightMm)]),
      ...legend.marks,
      rule(0, stripTop, size.widthMm, stripTop),
      titleStrip(plan, frame, place, stripTop, size.widthMm),
      outline(whole.width, whole.height),
    ],
  };
}

/** Ground, wire and labels, clipped to the field. */
function gardenField(
  plan: Plan,
  features: Handover['site']['features'],
  place: Placement,
  over: readonly MarkUp[],
): MarkUp {
  const { x, y, width, height } = place.field;
  const ground = drawSite(features, place);
  return element(
    'svg',
    { x, y, width, height, viewBox: `0 0 ${width.toFixed(2)} ${height.toFixed(2)}` },
    ...ground.under,
    ...drawGround(plan, place),
    ...ground.over,
    ...keepInside([...drawWire(plan, place), ...drawMarks(plan, place)], place.field),
    ...over,
    ...drawFurniture(place),
  );
}

const UNSEEN = new Set(['peg', 'splice', 'station-candidate']);

function fieldHeight(plan: Plan, { field, point }: Placement, also: readonly (readonly [number, number])[]): number {
  const ys = [...plan.features.flatMap(({ geometry }) => positionsOf(geometry)), ...also].map(
    (position) => point(position)[1],
  );
  let [top, bottom] = [Number.POSITIVE_INFINITY, Number.NEGATIVE_INFINITY];
  for (const y of ys) [top, bottom] = [Math.min(top, y), Math.max(bottom, y)];
  return ys.length === 0
    ? LEAST_HEIGHT_MM
    : Math.min(field.height, Math.max(LEAST_HEIGHT_MM, bottom - top + CLEAR.top + CLEAR.bottom + 0.5));
}

function nothingDrawn({ field, wording }: Placement): MarkUp {
  const [x, y] = [field.x + field.width / 2, field.y + field.height / 2];
  return serif(wording.say('proposal.nothingDrawn'), x, y, 4.6, 'middle', { 'font-style': 'italic' });
}

function titleStrip(plan: Plan, frame: PaperFrame, place: Placement, top: number, width: number): MarkUp {
  const { say, date } = frame.wording;
  const cells: readonly (readonly [string, string])[] = [
    [say('title.site'), shortened(frame.siteName, NAME_LETTERS)],
    [say('title.scale'), scaleWords(place.scale, frame)],
    [say('title.date'), date(frame.isoDate)],
    [say('title.ruleSet'), shortened(plan.rules.name, RULES_LETTERS)],
  ];
  const shares = [0, 0.34, 0.64, 0.84];
  return group(
    ...cells.flatMap(([name, value], i) => [
      sans(name, 5 + shares[i] * (width - 6), top + 4.6, 2.2, 'start', { fill: INK.soft }),
      sans(value, 5 + shares[i] * (width - 6), top + 9.2, 2.9, 'start', {
        'font-weight': 600,
      }),
    ]),
  );
}

const NAME_LETTERS = 32;
const RULES_LETTERS = 18;

/** A title strip has room for so many characters. */
function shortened(words: string, most: number): string {
  return words.length <= most ? words : `${words.slice(0, most - 1).trimEnd()}…`;
}

function alternativeFor(plan: Plan, { wording }: PaperFrame, { scale }: Placement): string {
  const { say, length, area, number } = wording;
  const hasStation = plan.features.some(({ properties }) => properties.kind === 'station');
  return say('proposal.alt', {
    scale: number(scale),
    wire: length(plan.summary.routeLengthM),
    area: area(plan.summary.workingAreaM2),
    zones: `${say('figure.zones')}: ${plan.summary.zoneCount}`,
    station: say(hasStation ? 'proposal.altStation' : 'proposal.altNoStation'),
  });
}
