import { inflateSync } from 'node:zlib';
import { expect, test } from 'vitest';
import { mapImage, WIDTH_PX } from '#api/formats/map-image.ts';
import { goldenPlan } from '../../support/golden-plan.ts';
import { useKernel } from '../../support/load-kernel.ts';

useKernel();
const plan = goldenPlan();
/** A3 lying: 420 by 297 mm (ISO 216). */
const A3 = 297 / 420;

async function picture(widthPx?: number) {
  const bytes = await mapImage.write(plan, { widthPx });
  if (!(bytes instanceof Uint8Array)) throw new Error('a picture is bytes');
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  return { bytes, width: view.getUint32(16), height: view.getUint32(20) };
}

/** The rows of an RGBA PNG of eight bits a channel, still filtered (ISO/IEC 15948, 10 and 11.2). */
function unpackedPixels(bytes: Uint8Array): Uint8Array {
  const view = new DataView(bytes.buffer, bytes.byteOffset, bytes.byteLength);
  const parts: Uint8Array[] = [];
  for (let at = 8; at < bytes.length; at += 12 + view.getUint32(at)) {
    if (view.getUint32(at + 4) === 0x49444154) parts.push(bytes.subarray(at + 8, at + 8 + view.getUint32(at)));
  }
  return inflateSync(Buffer.concat(parts));
}

test('is a PNG of the size asked for, in the proportions of the sheet', async () => {
  for (const asked of [WIDTH_PX.least, 801, undefined]) {
    const { bytes, width, height } = await picture(asked);
    expect([...bytes.subarray(0, 8)]).toEqual([0x89, 0x50, 0x4e, 0x47, 0x0d, 0x0a, 0x1a, 0x0a]);
    expect(width).toBe(asked ?? WIDTH_PX.standard);
    expect(Math.abs(height - A3 * width)).toBeLessThanOrEqual(1);
    expect(unpackedPixels(bytes).length).toBe(height * (1 + 4 * width));
  }
});

test('shows the words of the drawing: without them it would be another picture', async () => {
  const { bytes } = await picture(600);
  const wordless = await mapImage.write({ ...plan, name: 'Another garden with a longer name' }, { widthPx: 600 });
  expect(bytes).not.toEqual(wordless);
  expect(bytes).toEqual((await picture(600)).bytes);
});
