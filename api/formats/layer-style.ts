import { KIND_STYLES } from '#geo-core/index.ts';
import type { PlanKind } from '#geo-core/model/plan.ts';

export type GeometryFamily = 'point' | 'line' | 'area';

const POINT_MM = 1.6;
const MM_PER_PIXEL = 0.28;

/** How a layer looks, as desktop GIS keeps it: its own style XML (`symbol` of one layer), and Styled Layer Descriptor 1.0 (OGC 02-070). */
export function layerStyle(kind: PlanKind, family: GeometryFamily): { readonly qml: string; readonly sld: string } {
  const { line, fill, width } = KIND_STYLES[kind];
  const [stroke, wash] = [colourOf(line), colourOf(fill)];
  return {
    qml: qmlOf(family, stroke, wash, width * MM_PER_PIXEL),
    sld: sldOf(kind, SYMBOLIZERS[family](stroke, wash, width)),
  };
}

type Colour = { readonly hex: string; readonly bytes: string; readonly opacity: string };

/** rrggbbaa -> the forms that the two kinds of style write. */
function colourOf(rgba: string): Colour {
  const bytes = [0, 2, 4, 6].map((at) => Number.parseInt(rgba.slice(at, at + 2), 16));
  return { hex: `#${rgba.slice(0, 6)}`, bytes: bytes.join(','), opacity: (bytes[3] / 255).toFixed(2) };
}

function qmlOf(family: GeometryFamily, stroke: Colour, wash: Colour, widthMm: number): string {
  const width = widthMm.toFixed(2);
  const [type, layer, values] = {
    point: [
      'marker',
      'SimpleMarker',
      { name: 'circle', color: stroke.bytes, outline_style: 'no', size: String(POINT_MM), size_unit: 'MM' },
    ] as const,
    line: ['line', 'SimpleLine', { line_color: stroke.bytes, line_width: width, line_width_unit: 'MM' }] as const,
    area: [
      'fill',
      'SimpleFill',
      {
        color: wash.bytes,
        style: 'solid',
        outline_color: stroke.bytes,
        outline_width: width,
        outline_width_unit: 'MM',
      },
    ] as const,
  }[family];
  const options = Object.entries(values).map(
    ([name, value]) => `<Option type="QString" name="${name}" value="${value}"/>`,
  );
  return (
    "<!DOCTYPE qgis PUBLIC 'http://mrcc.com/qgis.dtd' 'SYSTEM'>" +
    '<qgis version="3.22" styleCategories="Symbology"><renderer-v2 type="singleSymbol"><symbols>' +
    `<symbol type="${type}" name="0" alpha="1"><layer class="${layer}" enabled="1" locked="0" pass="0">` +
    `<Option type="Map">${options.join('')}</Option></layer></symbol></symbols></renderer-v2></qgis>`
  );
}

const parameter = (name: string, value: string | number) => `<CssParameter name="${name}">${value}</CssParameter>`;
const strokeOf = ({ hex, opacity }: Colour, width: number) =>
  `<Stroke>${parameter('stroke', hex)}${parameter('stroke-opacity', opacity)}${parameter('stroke-width', width)}</Stroke>`;
const fillOf = ({ hex, opacity }: Colour) =>
  `<Fill>${parameter('fill', hex)}${parameter('fill-opacity', opacity)}</Fill>`;

const SYMBOLIZERS = {
  point: (stroke: Colour) =>
    `<PointSymbolizer><Graphic><Mark><WellKnownName>circle</WellKnownName>${fillOf(stroke)}</Mark><Size>6</Size></Graphic></PointSymbolizer>`,
  line: (stroke: Colour, _: Colour, width: number) => `<LineSymbolizer>${strokeOf(stroke, width)}</LineSymbolizer>`,
  area: (stroke: Colour, wash: Colour, width: number) =>
    `<PolygonSymbolizer>${fillOf(wash)}${strokeOf(stroke, width)}</PolygonSymbolizer>`,
} as const;

function sldOf(name: string, symbolizer: string): string {
  return (
    '<StyledLayerDescriptor xmlns="http://www.opengis.net/sld" version="1.0.0">' +
    `<NamedLayer><Name>${name}</Name><UserStyle><FeatureTypeStyle><Rule>${symbolizer}</Rule></FeatureTypeStyle></UserStyle></NamedLayer>` +
    '</StyledLayerDescriptor>'
  );
}
