import fc from 'fast-check';
import { describe, expect, test } from 'vitest';
import {
  type Block,
  fullLayout,
  LANES,
  LINE_LAYOUT,
  reachPx,
  stripOf,
} from '../../../../shared/night/strip.ts';
import type { BandSpan } from '../../../../shared/wire/http.ts';
import { excursion, gap, hourOf, rowOf, VIEW } from '../../web/night/examples.ts';

const BANDS = { air: { lowC: 13, highC: 18 }, rootZone: { lowC: 21, highC: 24 } };
const band = (from: number, to: number, night: boolean): BandSpan => ({
  from: hourOf(from),
  to: hourOf(to),
  night,
  ...BANDS,
  ceilingC: 26.7,
  vpd: { lowKpa: 0.1, highKpa: 0.5 },
});

describe('what is drawn of a night of ten hours', () => {
  test('an excursion of the sixth and seventh hour is 20 % wide from 50 % on, in the lane and on the side of its kind', () => {
    const { blocks } = stripOf(rowOf('sill', { excursions: [excursion()] }), VIEW);
    expect(blocks).toEqual([{ lane: 'rootZone', side: 'below', from: 50, width: 20, mean: 1.5 }]);
  });

  test('what goes on reaches to the end, and what lasted a minute can still be seen within the axis', () => {
    const still = excursion({ kind: 'air-over-ceiling', from: hourOf(8), to: null });
    const short = excursion({ kind: 'vpd-above-band', from: hourOf(9.99), to: hourOf(10) });
    const { blocks } = stripOf(rowOf('sill', { excursions: [still, short] }), VIEW);
    expect(blocks[0]).toMatchObject({ lane: 'air', side: 'above', from: 80, width: 20 });
    expect(blocks[1]?.width).toBeGreaterThanOrEqual(0.3);
    expect((blocks[1]?.from ?? 0) + (blocks[1]?.width ?? 0)).toBeLessThanOrEqual(100);
  });

  test('nothing read is a hole and no block; a place never seen is one hole', () => {
    const { holes, blocks } = stripOf(rowOf('sill', { excursions: [gap(2, 3), gap(9, null)] }), VIEW);
    expect(blocks).toEqual([]);
    expect(holes).toEqual([
      { from: 20, width: 10 },
      { from: 90, width: 10 },
    ]);
    expect(stripOf(rowOf('sill', { coverage: 0 }), VIEW).holes).toEqual([{ from: 0, width: 100 }]);
  });

  test('a night whose bands change is washed once', () => {
    const bands = [band(-2, 1, false), band(1, 4, true), band(4, 9, true), band(9, 12, false)];
    expect(stripOf(rowOf('sill', { bands }), VIEW).nights).toEqual([{ from: 10, width: 80 }]);
  });
});

const block = fc.record<Block>({
  lane: fc.constantFrom(...LANES),
  side: fc.constantFrom('above', 'below'),
  mean: fc.option(fc.double({ min: 0, max: 40, noNaN: true })),
  from: fc.constant(0),
  width: fc.constant(10),
});

test('in a row in full no block reaches the ribbon beside it or leaves the row, whatever happened', () => {
  fc.assert(
    fc.property(fc.array(block, { maxLength: 12 }), (blocks) => {
      const { ribbons, heightPx } = fullLayout(blocks);
      const boxes = ribbons.map(({ lane, y, heightPx: thick }) => {
        const reach = (side: Block['side']) =>
          Math.max(0, ...blocks.filter((one) => one.lane === lane && one.side === side).map(reachPx));
        return { top: y - reach('above'), bottom: y + thick + reach('below') };
      });
      expect(boxes[0]?.top).toBeGreaterThanOrEqual(0);
      for (const [i, box] of boxes.entries())
        expect(box.bottom).toBeLessThan(boxes[i + 1]?.top ?? heightPx + 0.001);
    }),
  );
});

test('the dose has one scale: twice as far on average is twice as high, up to what a row can hold', () => {
  expect(reachPx({ lane: 'air', mean: 8 })).toBe(2 * reachPx({ lane: 'rootZone', mean: 4 }));
  expect(reachPx({ lane: 'air', mean: 90 })).toBeLessThan(60);
});

test('a row of one line fits 24 px', () => {
  const last = LINE_LAYOUT.ribbons.at(-1);
  expect(LINE_LAYOUT.heightPx).toBeLessThan(24);
  expect((last?.y ?? 0) + (last?.heightPx ?? 0) + 1).toBeLessThanOrEqual(LINE_LAYOUT.heightPx);
});
