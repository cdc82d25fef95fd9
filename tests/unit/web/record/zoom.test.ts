import fc from 'fast-check';
import { expect, test } from 'vitest';
import {
  keyed,
  LEAST_VIEW_MS,
  MOST_VIEW_MS,
  overlap,
  panned,
  pinched,
  zoomed,
} from '../../../../web/record/zoom.ts';
import { HOUR_MS, NOW_MS } from '../examples.ts';

const DAY = { fromMs: NOW_MS - 24 * HOUR_MS, toMs: NOW_MS };
const NIGHT = { fromMs: NOW_MS - 20 * HOUR_MS, toMs: NOW_MS - 8 * HOUR_MS };

test('twice as close around a quarter of the axis keeps that moment at a quarter of it', () => {
  const atMs = NIGHT.fromMs + 3 * HOUR_MS;
  const { fromMs, toMs } = zoomed(NIGHT, { factor: 0.5, atMs, nowMs: NOW_MS });
  expect(toMs - fromMs).toBe(6 * HOUR_MS);
  expect((atMs - fromMs) / (toMs - fromMs)).toBeCloseTo(0.25, 9);
});

test('no view is shorter than 1 min, longer than 400 days or beyond the present', () => {
  const close = zoomed(DAY, { factor: 1e-9, atMs: NOW_MS, nowMs: NOW_MS });
  expect(close).toEqual({ fromMs: NOW_MS - LEAST_VIEW_MS, toMs: NOW_MS });
  const wide = zoomed(DAY, { factor: 1e9, atMs: NOW_MS, nowMs: NOW_MS });
  expect(wide).toEqual({ fromMs: NOW_MS - MOST_VIEW_MS, toMs: NOW_MS });
  expect(panned(DAY, { share: 0.5, nowMs: NOW_MS })).toEqual(DAY);
});

test('a quarter of twelve hours back is 3 h earlier', () => {
  const back = panned(NIGHT, { share: -0.25, nowMs: NOW_MS });
  expect(back.fromMs).toBe(NIGHT.fromMs - 3 * HOUR_MS);
  expect(back.toMs - back.fromMs).toBe(12 * HOUR_MS);
});

test('fingers that part from a fifth to two fifths of the width halve the view and keep what lay between them', () => {
  const view = pinched(NIGHT, [0.4, 0.6], [0.3, 0.7], NOW_MS);
  expect(view.toMs - view.fromMs).toBeCloseTo(6 * HOUR_MS, 3);
  const middleMs = NIGHT.fromMs + 6 * HOUR_MS;
  expect((middleMs - view.fromMs) / (view.toMs - view.fromMs)).toBeCloseTo(0.5, 9);
});

test.each([
  ['ArrowLeft', NIGHT.fromMs - 3 * HOUR_MS],
  ['ArrowRight', NIGHT.fromMs + 3 * HOUR_MS],
  ['End', NOW_MS - 12 * HOUR_MS],
])('%s moves the view', (key, fromMs) => {
  expect(keyed(NIGHT, { key, nowMs: NOW_MS })?.fromMs).toBe(fromMs);
});

test('+ and - change its length, and other keys are left to the browser', () => {
  const length = (key: string) => {
    const view = keyed(NIGHT, { key, nowMs: NOW_MS });
    return view && (view.toMs - view.fromMs) / HOUR_MS;
  };
  expect(length('+')).toBeCloseTo(7.5, 9);
  expect(length('-')).toBeCloseTo(19.2, 9);
  expect(length('Tab')).toBeNull();
});

test('whatever is done, in whatever order, a view stays within its bounds and is never turned round', () => {
  const share = fc.double({ min: -3, max: 3, noNaN: true });
  const deed = fc.record({ factor: fc.double({ min: 0.01, max: 100, noNaN: true }), share });
  fc.assert(
    fc.property(fc.array(deed, { maxLength: 30 }), (deeds) => {
      let view = DAY;
      for (const one of deeds) {
        const atMs = view.fromMs + one.share * (view.toMs - view.fromMs);
        view = panned(zoomed(view, { factor: one.factor, atMs, nowMs: NOW_MS }), {
          share: one.share,
          nowMs: NOW_MS,
        });
        expect(view.toMs).toBeLessThanOrEqual(NOW_MS);
        const lengthMs = view.toMs - view.fromMs;
        // ms since 1970 are exact to a fraction of one
        expect(lengthMs).toBeGreaterThanOrEqual(LEAST_VIEW_MS - 1);
        expect(lengthMs).toBeLessThanOrEqual(MOST_VIEW_MS + 1);
      }
    }),
  );
});

test('data of the last day is there for the half of a view that reaches beyond it, and for none of another year', () => {
  const wide = { fromMs: NOW_MS - 48 * HOUR_MS, toMs: NOW_MS };
  expect(overlap(wide, DAY)).toEqual(DAY);
  expect(overlap({ fromMs: 0, toMs: 1 }, DAY)).toBeNull();
});
