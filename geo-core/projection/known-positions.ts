/** Longitude and latitude, degrees. */
type Position = readonly [number, number];

/**
 * Places of the plane whose position is known, so that each is brought to degrees once: open addressing over the bits of x and y,
 * since a plan has thousands of places and most come several times.
 */
export function knownPositions(positionOf: (x: number, y: number) => Position): (x: number, y: number) => Position {
  const key = new Float64Array(2);
  const bits = new Int32Array(key.buffer);
  let slots = new Int32Array(1 << 10);
  let places = new Float64Array(slots.length);
  const positions: Position[] = [];

  /** The slot of a place: 0 in it where it is not known, else its number from 1. */
  function slotOf(x: number, y: number): number {
    key[0] = x;
    key[1] = y;
    let mixed = Math.imul(bits[0] ^ Math.imul(bits[1], 0x9e3779b1), 0x85ebca6b);
    mixed = Math.imul(mixed ^ (mixed >>> 15) ^ bits[2] ^ Math.imul(bits[3], 0xc2b2ae35), 0x27d4eb2f);
    const last = slots.length - 1;
    let slot = (mixed ^ (mixed >>> 15)) & last;
    while (slots[slot] !== 0 && (places[2 * slots[slot] - 2] !== x || places[2 * slots[slot] - 1] !== y))
      slot = (slot + 1) & last;
    return slot;
  }

  function grow(): void {
    const longer = new Float64Array(2 * places.length);
    longer.set(places);
    places = longer;
    slots = new Int32Array(2 * slots.length);
    for (let k = 0; k < positions.length; k++) slots[slotOf(places[2 * k], places[2 * k + 1])] = k + 1;
  }

  return (x, y) => {
    const slot = slotOf(x, y);
    if (slots[slot] !== 0) return positions[slots[slot] - 1];
    const position = positionOf(x, y);
    places[2 * positions.length] = x;
    places[2 * positions.length + 1] = y;
    slots[slot] = positions.push(position);
    if (2 * positions.length === slots.length) grow();
    return position;
  };
}
