/**
 * The point with the least sum of distances to three others (Torricelli 1645, from memory): the corner with an angle of 120
 * degrees or more, else where all three are seen 120 degrees apart, by its barycentric weights 1 / (cot A + cot 60°).
 */
export function fermatPoint(
  ax: number,
  ay: number,
  bx: number,
  by: number,
  cx: number,
  cy: number,
): readonly [number, number] {
  const dotA = (bx - ax) * (cx - ax) + (by - ay) * (cy - ay);
  const dotB = (ax - bx) * (cx - bx) + (ay - by) * (cy - by);
  const dotC = (ax - cx) * (bx - cx) + (ay - cy) * (by - cy);
  const ab = Math.sqrt((bx - ax) * (bx - ax) + (by - ay) * (by - ay));
  const bc = Math.sqrt((cx - bx) * (cx - bx) + (cy - by) * (cy - by));
  const ca = Math.sqrt((ax - cx) * (ax - cx) + (ay - cy) * (ay - cy));
  if (dotA <= -0.5 * ab * ca) return [ax, ay];
  if (dotB <= -0.5 * ab * bc) return [bx, by];
  if (dotC <= -0.5 * ca * bc) return [cx, cy];
  const doubleAreaM2 = Math.abs((bx - ax) * (cy - ay) - (by - ay) * (cx - ax));
  const cot60 = Math.sqrt(1 / 3);
  const a = 1 / (dotA / doubleAreaM2 + cot60);
  const b = 1 / (dotB / doubleAreaM2 + cot60);
  const c = 1 / (dotC / doubleAreaM2 + cot60);
  return [(a * ax + b * bx + c * cx) / (a + b + c), (a * ay + b * by + c * cy) / (a + b + c)];
}

/** The sum of distances from that point to the corners of a triangle with these sides; two sides where one is too long for them. */
export function fermatLengthM(aM: number, bM: number, cM: number): number {
  const [shortM, middleM, longM] = [aM, bM, cM].toSorted((p, q) => p - q);
  if (longM * longM >= shortM * shortM + middleM * middleM + shortM * middleM) return shortM + middleM;
  const half = (aM + bM + cM) / 2;
  const areaM2 = Math.sqrt(Math.max(0, half * (half - aM) * (half - bM) * (half - cM)));
  return Math.sqrt((aM * aM + bM * bM + cM * cM) / 2 + 2 * Math.sqrt(3) * areaM2);
}
