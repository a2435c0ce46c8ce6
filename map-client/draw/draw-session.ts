import type { Map as MapLibreMap } from 'maplibre-gl';
import type { Beyond, PositionInput, SiteGeometryInput, SiteKind } from '#geo-core/model/site.ts';
import type { Ink } from '../ink.ts';
import type { WordKey } from '../wording/words.ts';
import { createDrawTable, type DrawTable } from './draw-table.ts';
import { followCorners } from './follow-corners.ts';
import { commit, type History, historyOf, redo, undo } from './history.ts';
import { markEdge } from './mark-edge.ts';
import { mergeAreas } from './merge-areas.ts';
import { pickFeature, pickSide } from './pick-feature.ts';
import { cornersOf, polygonOf, rounded } from './positions.ts';
import {
  freshKey,
  kindOf,
  type SiteDocument,
  type SiteFeature,
  withFeature,
  withoutFeatures,
} from './site-document.ts';
import { splitRing } from './split-ring.ts';
import { squareUp } from './square-up.ts';
import { type Metres, type TableFrame, tableFrame } from './table-frame.ts';
import { toolFor } from './tools.ts';

/** What lies on the drawing table and what is in hand. */
export type TableState = {
  readonly history: History<SiteDocument>;
  /** As it is under the pointer: `history.now`, or a step ahead of it while something is pulled. */
  readonly document: SiteDocument;
  readonly frame: TableFrame;
  readonly selected: string | null;
  /** The side of the selected lawn that was clicked, to say what lies beyond it. */
  readonly side: number | null;
  readonly tool: SiteKind | 'split' | null;
  readonly rightAngles: boolean;
  readonly growing: SiteGeometryInput | null;
  /** Why the last move did nothing. */
  readonly remark: WordKey | null;
};

/** Everything a person can do at the table. Lengths in metres. */
export type TableActions = {
  readonly take: (tool: TableState['tool']) => void;
  readonly keepRightAngles: (rightAngles: boolean) => void;
  readonly select: (key: string | null) => void;
  readonly undo: () => void;
  readonly redo: () => void;
  readonly remove: () => void;
  readonly setProperty: (name: string, value: unknown) => void;
  readonly moveCorner: (index: number, to: Metres) => void;
  readonly removeCorner: (index: number) => void;
  readonly setSide: (index: number, lengthM: number) => void;
  readonly markSide: (index: number, beyond: Beyond | null) => void;
  readonly nudge: (eastM: number, northM: number) => void;
  readonly square: () => void;
  readonly mergeWith: (key: string) => void;
  readonly addBySize: (kind: SiteKind, widthM: number, depthM: number) => void;
  readonly rename: (name: string) => void;
};

type SessionPorts = {
  readonly map: MapLibreMap;
  readonly get: () => TableState | null;
  readonly set: (table: TableState) => void;
  /** The document changed; `settled` when the change is done and can be kept. */
  readonly changed: (document: SiteDocument, settled: boolean) => void;
};

export type DrawSession = TableActions & {
  readonly open: (document: SiteDocument, ink: Ink) => void;
  readonly close: () => void;
};

/** A click reaches so far, CSS pixels. */
const REACH_PX = 14;
/** Metres of the equator in a pixel of the zoom-0 map (radius of WGS 84, tiles of 512 pixels). */
const PIXEL_0_M = (2 * Math.PI * 6_378_137) / 512;

export function createDrawSession({ map, get, set, changed }: SessionPorts): DrawSession {
  let table: DrawTable | undefined;

  const change = (patch: Partial<TableState>): void => {
    const now = get();
    if (now !== null) set({ ...now, ...patch });
  };
  const lay = (): void => {
    const now = get();
    if (now !== null) table?.lay(now.document, now.selected);
  };
  const keep = (document: SiteDocument, patch: Partial<TableState> = {}): void => {
    const now = get();
    if (now === null) return;
    set({ ...now, remark: null, ...patch, document, history: commit(now.history, document) });
    lay();
    changed(document, true);
  };
  const stepTo = (history: History<SiteDocument>): void => {
    const now = get();
    if (now === null || history === now.history) return;
    const isThere = history.now.features.some(({ key }) => key === now.selected);
    set({ ...now, history, document: history.now, selected: isThere ? now.selected : null, side: null, remark: null });
    lay();
    changed(history.now, true);
  };
  /** Puts a new geometry in the place of a thing's old one; marked edges of a lawn follow its corners. */
  const reshaped = (document: SiteDocument, feature: SiteFeature, geometry: SiteGeometryInput): SiteDocument => {
    const [before, after] = [cornersOf(feature.geometry), cornersOf(geometry)];
    const next = withFeature(document, { ...feature, geometry });
    return before === undefined || after === undefined ? next : followCorners(next, before, after);
  };
  const withSelected = (then: (feature: SiteFeature, now: TableState) => void): void => {
    const now = get();
    const feature = now?.document.features.find(({ key }) => key === now.selected);
    if (now !== null && feature !== undefined) then(feature, now);
  };
  const withCorners = (then: (corners: readonly Metres[], now: TableState) => readonly Metres[] | undefined): void =>
    withSelected((feature, now) => {
      const corners = cornersOf(feature.geometry)?.map(now.frame.toMetres);
      if (corners === undefined) return;
      const next = then(corners, now);
      if (next !== undefined) keep(reshaped(now.document, feature, polygonOf(next.map(now.frame.toPosition))));
    });
  const add = (now: TableState, kind: SiteKind, geometry: SiteGeometryInput): void => {
    const key = freshKey(now.document);
    const properties = { kind, ...toolFor(kind)?.properties };
    table?.take(null, now.rightAngles);
    keep(withFeature(now.document, { key, geometry, properties }), {
      selected: key,
      tool: null,
      growing: null,
      side: null,
    });
  };
  const metresPerPixel = (): number =>
    (PIXEL_0_M * Math.cos((map.getCenter().lat * Math.PI) / 180)) / 2 ** map.getZoom();

  const drawn = (geometry: SiteGeometryInput): void => {
    const now = get();
    if (now?.tool === 'split') split(now, geometry);
    else if (now !== null && now.tool !== null) add(now, now.tool, geometry);
  };
  const split = (now: TableState, line: SiteGeometryInput): void => {
    table?.take(null, now.rightAngles);
    const feature = now.document.features.find(({ key }) => key === now.selected);
    const corners = feature === undefined ? undefined : cornersOf(feature.geometry);
    if (feature === undefined || corners === undefined || line.type !== 'LineString') return;
    const { toMetres, toPosition } = now.frame;
    const parts = splitRing(corners.map(toMetres), line.coordinates.map(toMetres));
    if (parts === undefined) {
      change({ tool: null, growing: null, remark: 'draw.notSplit' });
      lay();
      return;
    }
    const [one, other] = parts.map((part) => polygonOf(part.map(toPosition)));
    const document = withFeature(now.document, { ...feature, geometry: one });
    const { id: _id, ...rest } = feature;
    keep(withFeature(document, { ...rest, key: freshKey(document), geometry: other }), { tool: null, growing: null });
  };
  const picked = (place: PositionInput): void => {
    const now = get();
    if (now === null) return;
    const reachM = REACH_PX * metresPerPixel();
    const selected = now.document.features.find(({ key }) => key === now.selected);
    const corners = selected === undefined ? undefined : cornersOf(selected.geometry)?.map(now.frame.toMetres);
    const side = corners === undefined ? undefined : pickSide(corners, now.frame.toMetres(place), reachM);
    if (selected !== undefined && side !== undefined && isLawn(selected)) {
      change({ side });
      return;
    }
    select(pickFeature(now.document, place, now.frame, reachM));
  };
  const select = (key: string | null): void => {
    if (get()?.selected === key) return;
    change({ selected: key, side: null, remark: null });
    lay();
  };

  return {
    open(document, ink) {
      table?.stop();
      table = createDrawTable(map, ink, {
        drawn,
        picked,
        growing: (growing) => change({ growing }),
        removed: (keys) => {
          const now = get();
          if (now !== null) keep(withoutFeatures(now.document, keys), { selected: null, side: null });
        },
        moved(key, geometry, settled) {
          const now = get();
          const feature = now?.history.now.features.find((each) => each.key === key);
          if (now === null || feature === undefined) return;
          const next = reshaped(now.history.now, feature, geometry);
          if (settled) keep(next);
          else {
            change({ document: next });
            changed(next, false);
          }
        },
      });
      const now = get();
      if (now === null) {
        const { lng, lat } = map.getCenter();
        set({
          history: historyOf(document),
          document,
          frame: tableFrame(firstPosition(document) ?? [lng, lat]),
          selected: null,
          side: null,
          tool: null,
          rightAngles: false,
          growing: null,
          remark: null,
        });
      }
      lay();
    },
    close() {
      table?.stop();
      table = undefined;
    },
    take(tool) {
      const now = get();
      if (now === null) return;
      const pencil = tool === null ? null : tool === 'split' ? 'line' : (toolFor(tool)?.pencil ?? null);
      change({ tool, growing: null, remark: null, ...(tool === 'split' ? {} : { selected: null, side: null }) });
      table?.take(pencil, now.rightAngles);
      if (pencil === null) lay();
    },
    keepRightAngles(rightAngles) {
      const now = get();
      change({ rightAngles });
      if (now?.tool != null)
        table?.take(now.tool === 'split' ? 'line' : (toolFor(now.tool)?.pencil ?? null), rightAngles);
    },
    select,
    undo: () => {
      const now = get();
      if (now !== null) stepTo(undo(now.history));
    },
    redo: () => {
      const now = get();
      if (now !== null) stepTo(redo(now.history));
    },
    remove: () =>
      withSelected(({ key }, now) => keep(withoutFeatures(now.document, [key]), { selected: null, side: null })),
    setProperty: (name, value) =>
      withSelected((feature, now) => {
        const { [name]: _, ...others } = feature.properties;
        const properties = value === null ? others : { ...others, [name]: value };
        keep(withFeature(now.document, { ...feature, properties }));
      }),
    moveCorner: (index, to) => withCorners((corners) => corners.map((corner, i) => (i === index ? to : corner))),
    removeCorner: (index) =>
      withCorners((corners) => (corners.length > 3 ? corners.filter((_, i) => i !== index) : undefined)),
    setSide: (index, lengthM) =>
      withCorners((corners) => {
        const [from, to] = [corners[index], corners[(index + 1) % corners.length]];
        const nowM = Math.hypot(to[0] - from[0], to[1] - from[1]);
        if (!(lengthM > 0) || nowM === 0) return undefined;
        const scale = lengthM / nowM;
        const moved: Metres = [from[0] + (to[0] - from[0]) * scale, from[1] + (to[1] - from[1]) * scale];
        return corners.map((corner, i) => (i === (index + 1) % corners.length ? moved : corner));
      }),
    markSide: (index, beyond) =>
      withSelected((feature, now) => {
        const corners = cornersOf(feature.geometry);
        if (corners === undefined) return;
        keep(markEdge(now.document, [corners[index], corners[(index + 1) % corners.length]], beyond), { side: index });
      }),
    nudge: (eastM, northM) =>
      withSelected((feature, now) => {
        const moved = (position: PositionInput): PositionInput => {
          const [x, y] = now.frame.toMetres(position);
          return rounded(now.frame.toPosition([x + eastM, y + northM]));
        };
        const { geometry } = feature;
        if (geometry.type === 'Point')
          keep(
            withFeature(now.document, {
              ...feature,
              geometry: { ...geometry, coordinates: moved(geometry.coordinates) },
            }),
          );
        else if (geometry.type === 'LineString')
          keep(
            withFeature(now.document, {
              ...feature,
              geometry: { ...geometry, coordinates: geometry.coordinates.map(moved) },
            }),
          );
        else if (geometry.type === 'Polygon')
          keep(
            reshaped(now.document, feature, {
              ...geometry,
              coordinates: geometry.coordinates.map((ring) => ring.map(moved)),
            }),
          );
      }),
    square: () => withCorners((corners) => squareUp(corners)),
    mergeWith: (key) =>
      withSelected((feature, now) => {
        const other = now.document.features.find((each) => each.key === key);
        if (feature.geometry.type !== 'Polygon' || other?.geometry.type !== 'Polygon') return;
        const merged = mergeAreas(feature.geometry, other.geometry);
        if (merged === undefined) change({ remark: 'draw.notTouching' });
        else keep(withFeature(withoutFeatures(now.document, [key]), { ...feature, geometry: merged }));
      }),
    addBySize(kind, widthM, depthM) {
      const now = get();
      if (now === null) return;
      const { lng, lat } = map.getCenter();
      const [x, y] = now.frame.toMetres([lng, lat]);
      const isPlace = toolFor(kind)?.pencil === 'place';
      const corners = [
        [-1, -1],
        [1, -1],
        [1, 1],
        [-1, 1],
      ].map(([east, north]) => now.frame.toPosition([x + (east * widthM) / 2, y + (north * depthM) / 2]));
      add(now, kind, isPlace ? { type: 'Point', coordinates: rounded([lng, lat]) } : polygonOf(corners));
    },
    rename(name) {
      const now = get();
      if (now !== null) keep({ ...now.document, members: { ...now.document.members, name } });
    },
  };
}

/** What can be mown has edges that something lies beyond. */
export function isLawn(feature: SiteFeature): boolean {
  return ['lawn', 'parcel'].includes(kindOf(feature));
}

function firstPosition({ features }: SiteDocument): PositionInput | undefined {
  for (const { geometry } of features) {
    if (geometry.type === 'Point') return geometry.coordinates;
    if (geometry.type === 'LineString') return geometry.coordinates[0];
    if (geometry.type === 'Polygon') return geometry.coordinates[0][0];
  }
  return undefined;
}
