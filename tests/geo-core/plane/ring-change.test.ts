import { describe, expect, it } from 'vitest';
import { conflictingChanges } from '#geo-core/plane/conflicting-changes.ts';
import { changedRing, type RingChange } from '#geo-core/plane/ring-change.ts';

/** A room of 0.8 m whose right wall stands back by 10 mm in the middle: straightened, the room has 0.79 m there. */
const room = Float64Array.of(0, 0, 0.8, 0, 0.81, 2, 0.8, 4, 0, 4, 0.005, 2);
const straightened: RingChange = { first: 2, count: 1, xy: [], endsOnEdges: false };

describe('a change that leaves nothing but an edge', () => {
  it('makes that edge new, and its own', () => {
    const { ring, across, isNew } = changedRing(room, [straightened]);
    expect(ring).toHaveLength(10);
    expect([...across]).toEqual([-1, 0, -1, -1, -1]);
    expect([...isNew]).toEqual([0, 1, 0, 0, 0]);
  });

  it('may take the first vertex of the ring', () => {
    const turned = Float64Array.from([...room.slice(4), ...room.slice(0, 4)]);
    expect([...changedRing(turned, [{ ...straightened, first: 0 }]).across]).toEqual([-1, -1, -1, -1, 0]);
  });

  it('is in conflict where the edge comes nearer than the gap to another wall', () => {
    expect(conflictingChanges([changedRing(room, [straightened])], 0.8)).toEqual([new Set([0])]);
    expect(conflictingChanges([changedRing(room, [straightened])], 0.7)).toEqual([new Set()]);
  });
});
