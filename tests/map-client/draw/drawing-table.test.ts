import fc from 'fast-check';
import { describe, expect, it } from 'vitest';
import { followCorners } from '#map-client/draw/follow-corners.ts';
import { commit, historyOf, redo, undo } from '#map-client/draw/history.ts';
import { edgeAlong, markEdge } from '#map-client/draw/mark-edge.ts';
import { mergeAreas } from '#map-client/draw/merge-areas.ts';
import { pickFeature, pickSide } from '#map-client/draw/pick-feature.ts';
import { cornersOf, polygonOf } from '#map-client/draw/positions.ts';
import {
  documentText,
  EMPTY_DOCUMENT,
  freshKey,
  readDocument,
  type SiteDocument,
  withFeature,
} from '#map-client/draw/site-document.ts';
import { splitRing } from '#map-client/draw/split-ring.ts';
import { squareUp } from '#map-client/draw/square-up.ts';
import { betweenM, type Metres, ringAreaM2, tableFrame } from '#map-client/draw/table-frame.ts';

const frame = tableFrame([8, 50]);
const SQUARE: readonly Metres[] = [
  [0, 0],
  [10, 0],
  [10, 10],
  [0, 10],
];
const area = (ring: readonly Metres[]) => polygonOf(ring.map(frame.toPosition));

function withLawn(ring: readonly Metres[]): SiteDocument {
  return withFeature(EMPTY_DOCUMENT, { key: 'lawn', properties: { kind: 'lawn' }, geometry: area(ring) });
}

const cornersIn = (document: SiteDocument) => cornersOf(document.features[0].geometry) ?? [];

describe('a document', () => {
  it('keeps members, ids and unknown properties of a file through reading and writing', () => {
    const text = JSON.stringify({
      type: 'FeatureCollection',
      name: 'Invented garden',
      quiet: [{ days: [7], from: '12:00', to: '15:00' }],
      features: [{ type: 'Feature', id: 7, properties: { kind: 'lawn', note: 'mossy' }, geometry: area(SQUARE) }],
    });
    expect(JSON.parse(documentText(readDocument(text)))).toEqual(JSON.parse(text));
  });

  it('never gives a key twice', () => {
    let document = EMPTY_DOCUMENT;
    for (let i = 0; i < 20; i++) {
      const key = freshKey(document);
      expect(document.features.map((feature) => feature.key)).not.toContain(key);
      document = withFeature(document, { key, properties: {}, geometry: { type: 'Point', coordinates: [8, 50] } });
      if (i % 3 === 0) document = { ...document, features: document.features.slice(1) };
    }
  });

  it('goes back and forth through any run of changes, undos and redos like a list with a cursor', () => {
    fc.assert(
      fc.property(fc.array(fc.oneof(fc.integer(), fc.constantFrom('undo', 'redo'))), (moves) => {
        let history = historyOf(0);
        let [list, cursor]: [number[], number] = [[0], 0];
        for (const move of moves) {
          if (move === 'undo') [history, cursor] = [undo(history), Math.max(0, cursor - 1)];
          else if (move === 'redo') [history, cursor] = [redo(history), Math.min(list.length - 1, cursor + 1)];
          else if (typeof move === 'number') {
            history = commit(history, move);
            list = [...list.slice(0, cursor + 1), move];
            cursor++;
          }
          expect(history.now).toBe(list[cursor]);
        }
      }),
    );
  });
});

describe('edges of a lawn', () => {
  const marked = (() => {
    const document = withLawn(SQUARE);
    const [a, b] = cornersIn(document);
    return markEdge(document, [a, b], 'wall');
  })();

  it('are marked once, marked anew in place, and unmarked', () => {
    const [a, b] = cornersIn(marked);
    const again = markEdge(marked, [b, a], 'drop');
    expect(again.features).toHaveLength(2);
    expect(edgeAlong(again, [a, b])?.properties).toEqual({ kind: 'edge', beyond: 'drop' });
    expect(markEdge(again, [a, b], null).features).toHaveLength(1);
  });

  it('follow a corner that is moved', () => {
    const before = cornersIn(marked);
    const after = [before[0], frame.toPosition([12, 1]), before[2], before[3]];
    const followed = followCorners(marked, before, after);
    expect(edgeAlong(followed, [after[0], after[1]])?.properties.beyond).toBe('wall');
  });

  it('take in a corner that is set between their ends', () => {
    const before = cornersIn(marked);
    const middle = frame.toPosition([5, -1]);
    const followed = followCorners(marked, before, [before[0], middle, ...before.slice(1)]);
    const [, edge] = followed.features;
    expect(edge.geometry.type === 'LineString' && edge.geometry.coordinates).toHaveLength(3);
  });
});

describe('numbers of the table', () => {
  it('measures a square of ten metres as a hundred square metres', () => {
    const corners = cornersIn(withLawn(SQUARE)).map(frame.toMetres);
    expect(ringAreaM2(corners)).toBeCloseTo(100, 2);
    expect(betweenM(corners[0], corners[1])).toBeCloseTo(10, 3);
  });

  it('makes a nearly square corner square and leaves a slanting one', () => {
    const squared = squareUp([
      [0, 0],
      [10, 0.4],
      [9.7, 8],
      [0.3, 8.2],
    ]);
    for (let i = 0; i < 4; i++) {
      const [[ax, ay], [x, y], [bx, by]] = [squared[(i + 3) % 4], squared[i], squared[(i + 1) % 4]];
      const cosine =
        ((ax - x) * (bx - x) + (ay - y) * (by - y)) / (Math.hypot(ax - x, ay - y) * Math.hypot(bx - x, by - y));
      expect(Math.abs(cosine)).toBeLessThan(1e-6);
    }
    const triangle: readonly Metres[] = [
      [0, 0],
      [10, 0],
      [5, 8],
    ];
    expect(squareUp(triangle)).toEqual(triangle);
  });
});

describe('splitting and merging', () => {
  it('parts a square into two whose areas add up, and makes one of them again', () => {
    const parts = splitRing(SQUARE, [
      [-1, 3],
      [5, 3],
      [11, 3],
    ]);
    expect((parts ?? []).map(ringAreaM2).toSorted((a, b) => a - b)).toEqual([30, 70]);
    const [one, other] = (parts ?? []).map(area);
    const whole = mergeAreas(one, other);
    const ring = whole === undefined ? [] : (cornersOf(whole) ?? []).map(frame.toMetres);
    expect(ringAreaM2(ring)).toBeCloseTo(100, 2);
  });

  it('cuts a corner off along one side and the next, and a bite out of one side', () => {
    const corner = splitRing(SQUARE, [
      [7, -1],
      [11, 3],
    ]);
    expect((corner ?? []).map(ringAreaM2).toSorted((a, b) => a - b)).toEqual([2, 98]);
    const bite = splitRing(SQUARE, [
      [3, -1],
      [3, 4],
      [6, 4],
      [6, -1],
    ]);
    expect((bite ?? []).map(ringAreaM2).toSorted((a, b) => a - b)).toEqual([12, 88]);
  });

  it('does nothing along a line that does not go right across', () => {
    expect(
      splitRing(SQUARE, [
        [-1, 3],
        [5, 3],
      ]),
    ).toBeUndefined();
  });

  it('does not merge areas that lie apart', () => {
    expect(mergeAreas(area(SQUARE), area(SQUARE.map(([x, y]): Metres => [x + 20, y])))).toBeUndefined();
  });
});

describe('picking', () => {
  const document = withFeature(
    withFeature(withLawn(SQUARE), {
      key: 'bed',
      properties: { kind: 'planting' },
      geometry: area([
        [2, 2],
        [4, 2],
        [4, 4],
        [2, 4],
      ]),
    }),
    { key: 'tree', properties: { kind: 'tree' }, geometry: { type: 'Point', coordinates: frame.toPosition([3.2, 3]) } },
  );
  it.each([
    ['the tree within reach', [3, 3], 'tree'],
    ['the smaller area', [2.2, 2.2], 'bed'],
    ['the lawn elsewhere', [8, 8], 'lawn'],
    ['nothing outside', [15, 5], null],
  ] as const)('means %s', (_, at, key) => {
    expect(pickFeature(document, frame.toPosition(at), frame, 0.5)).toBe(key);
  });

  it('finds the side of a ring', () => {
    expect(pickSide(SQUARE, [9.8, 5], 0.5)).toBe(1);
    expect(pickSide(SQUARE, [5, 5], 0.5)).toBeUndefined();
  });
});
