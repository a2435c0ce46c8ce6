import type { Plan, Position } from '#geo-core/model/plan.ts';
import { linesOf, polygonsOf } from '#geo-core/model/plan-geometry.ts';
import { localPlaneProjection } from '#geo-core/projection/local-plane.ts';

const PAPER = '#f7f2e6';
const LINE = '#1f1e1a';
/** A wash and a hatch for each channel, so that nothing depends on colour alone. */
const CHANNELS = ['#e1e7c9', '#d3e1e4', '#efe2cb', '#ddd3c4'];
const MARGIN_M = 6;
/** Below the drawing, for the key. */
const KEY_M = 12;

export type NumberedPlan = { readonly number: number; readonly channel: number; readonly plan: Plan };

/** Plans of one estate on one sheet: working areas by channel, wires, stations, each with its number. North is up, one unit is a metre. */
export function drawChannels(plans: readonly NumberedPlan[]): string {
  const [originLonDeg, originLatDeg] = plans[0].plan.bbox ?? [0, 0];
  const { toPlane } = localPlaneProjection({ originLonDeg, originLatDeg });
  const boxes = plans.flatMap(({ plan: { bbox } }) =>
    bbox === undefined ? [] : [toPlane(bbox[0], bbox[1]), toPlane(bbox[2], bbox[3])],
  );
  const [minX, maxX] = [Math.min(...boxes.map(({ x }) => x)), Math.max(...boxes.map(({ x }) => x))];
  const [minY, maxY] = [Math.min(...boxes.map(({ y }) => y)), Math.max(...boxes.map(({ y }) => y))];
  const at = ([lonDeg, latDeg]: Position): string => {
    const { x, y } = toPlane(lonDeg, latDeg);
    return `${(x - minX + MARGIN_M).toFixed(1)} ${(maxY - y + MARGIN_M).toFixed(1)}`;
  };
  const path = (lines: readonly (readonly Position[])[]): string =>
    lines.map((line) => `M${line.map(at).join('L')}`).join('');
  const used = [...new Set(plans.map(({ channel }) => channel))].toSorted((a, b) => a - b);
  const gardens = plans.map(({ number, channel, plan }) => {
    const of = (kind: string) => plan.features.filter(({ properties }) => properties.kind === kind);
    const areas = of('working-area').flatMap(({ geometry }) => polygonsOf(geometry));
    const station = of('station').map(({ geometry }) => geometry)[0];
    const area = path(areas.flat());
    const name = station?.type === 'Point' ? at(station.coordinates).split(' ') : ['0', '0'];
    const wires = of('route').map(({ geometry }) => path(linesOf(geometry)));
    return [
      `<g><title>Garden ${number}: ${plan.name ?? ''}, channel ${channel + 1}</title>`,
      `<path d="${area}" fill="${CHANNELS[channel % CHANNELS.length]}" fill-rule="evenodd"/>`,
      `<path d="${area}" fill="url(#channel-${channel})" fill-rule="evenodd"/>`,
      ...wires.map((wire) => `<path d="${wire}" fill="none" stroke="${LINE}" stroke-width="0.35"/>`),
      `<circle cx="${name[0]}" cy="${name[1]}" r="2.6" fill="${PAPER}" stroke="${LINE}" stroke-width="0.3"/>`,
      `<text x="${name[0]}" y="${(Number(name[1]) + 1.1).toFixed(1)}" font-size="3.2" text-anchor="middle" fill="${LINE}">${number}</text></g>`,
    ].join('\n');
  });
  const [width, height] = [maxX - minX + 2 * MARGIN_M, maxY - minY + 2 * MARGIN_M + KEY_M].map((side) =>
    side.toFixed(1),
  );
  const keyY = maxY - minY + 2 * MARGIN_M + 3;
  const key = used.map((channel, i) => {
    const box = `x="${MARGIN_M + i * 34}" y="${keyY.toFixed(1)}" width="8" height="5"`;
    return [
      `<rect ${box} fill="${CHANNELS[channel % CHANNELS.length]}" stroke="${LINE}" stroke-width="0.2"/>`,
      `<rect ${box} fill="url(#channel-${channel})"/>`,
      `<text x="${MARGIN_M + i * 34 + 10}" y="${(keyY + 3.8).toFixed(1)}" font-size="4" fill="${LINE}">channel ${channel + 1}</text>`,
    ].join('\n');
  });
  return `<?xml version="1.0" encoding="UTF-8"?>
<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 ${width} ${height}" width="1200" font-family="Georgia, serif">
<title>Channels of an invented estate</title>
<defs>${used.map(hatch).join('')}</defs>
<rect width="${width}" height="${height}" fill="${PAPER}"/>
${[...gardens, ...key].join('\n')}
</svg>
`;
}

function hatch(channel: number): string {
  return `<pattern id="channel-${channel}" width="2" height="2" patternUnits="userSpaceOnUse" patternTransform="rotate(${45 * channel})"><path d="M1 0V2" stroke="${LINE}" stroke-opacity="0.35" stroke-width="0.15"/></pattern>`;
}
