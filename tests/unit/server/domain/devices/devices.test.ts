import { describe, expect, test } from 'vitest';
import { clockAheadMs, readStatus, withPack } from '../../../../../server/domain/devices/delivery.ts';
import { lossesIn } from '../../../../../server/domain/devices/losses.ts';
import { MAX_TIMES, secondClient, withMoment } from '../../../../../server/domain/devices/second-client.ts';

const QUIET = { alternatedMs: [], tookOverMs: [], wentMs: [] };
const MINUTE_MS = 60_000;
const bytes = (text: string) => new TextEncoder().encode(text);

describe('a second client behind one device', () => {
  test('is certain from the 1st time that two publish by turns', () => {
    expect(secondClient({ ...QUIET, alternatedMs: [0] }, MINUTE_MS)).toEqual({
      kind: 'alternating',
      times: 1,
      withinMin: 10,
    });
  });

  test('is supposed from 3 takeovers within 10 minutes, not from 2, as after a power cut', () => {
    const kindAfter = (n: number) =>
      secondClient({ ...QUIET, tookOverMs: [1, 2, 3].slice(0, n) }, MINUTE_MS)?.kind;
    expect([kindAfter(2), kindAfter(3)]).toEqual([undefined, 'taking-over']);
    expect(secondClient({ ...QUIET, tookOverMs: [1, 2, 3] }, 11 * MINUTE_MS)).toBeNull();
  });

  test('may be behind 5 Wills within 10 minutes, which a poor network sends too', () => {
    expect(secondClient({ ...QUIET, wentMs: [1, 2, 3, 4] }, 5)).toBeNull();
    expect(secondClient({ ...QUIET, wentMs: [1, 2, 3, 4, 5] }, 5)?.kind).toBe('restless');
  });

  test(`of 200 moments ${MAX_TIMES} are kept`, () => {
    let kept: readonly number[] = [];
    for (let ms = 0; ms < 200; ms++) kept = withMoment(kept, ms);
    expect([kept.length, kept.at(-1)]).toEqual([MAX_TIMES, 199]);
  });
});

describe('losses', () => {
  const every = (count: number, stepMs: number) => Float64Array.from({ length: count }, (_, i) => i * stepMs);

  test('of 60 readings a minute apart none is missing; without the 11th to 20th, 10 of 60 are', () => {
    expect(lossesIn(every(60, MINUTE_MS))).toMatchObject({ missing: 0, expected: 60 });
    const holed = every(60, MINUTE_MS).filter((_, i) => i < 10 || i >= 20);
    // by hand: between the 10th and the 21st lie 11 min, ten readings
    expect(lossesIn(holed)).toEqual({
      missing: 10,
      expected: 60,
      everyMs: MINUTE_MS,
      longestGapMs: 11 * MINUTE_MS,
    });
  });

  test('cannot be counted from 9 readings, nor of readings of one time', () => {
    expect(lossesIn(every(9, 1_000))).toBeNull();
    expect(lossesIn(new Float64Array(20))).toBeNull();
  });

  test('a reading that comes 40 % late is not one that is missing', () => {
    const times = every(20, 10_000).map((tMs, i) => (i >= 10 ? tMs + 4_000 : tMs));
    expect(lossesIn(times)?.missing).toBe(0);
  });
});

describe('packs and clocks', () => {
  const pack = {
    device: 'a',
    arrivedAtMs: 1_000_000,
    newestMs: 1_000_000,
    readings: 4,
    stored: 4,
    conflicts: 0,
  };

  test('of 3 packs of 4 readings, one sent twice and one refused, 4 are repeats and 1 is refused', () => {
    const tally = [pack, { ...pack, stored: 0 }, { ...pack, readings: 0, stored: 0, newestMs: null }].reduce(
      (sum: ReturnType<typeof withPack> | null, one) => withPack(sum, one),
      null,
    );
    expect(tally).toMatchObject({ packs: 3, readings: 8, repeats: 4, conflicts: 0, refused: 1 });
  });

  test('a device that sends no time of its own has no clock; one emptying its store is 2 s behind, not an hour', () => {
    const clock = (aheadsMs: readonly number[]) =>
      clockAheadMs(
        aheadsMs.reduce(
          (sum: ReturnType<typeof withPack> | null, ahead) =>
            withPack(sum, { ...pack, newestMs: pack.arrivedAtMs + ahead }),
          null,
        ) ?? { aheadMs: [] },
      );
    expect(clock([0, 0])).toBeNull();
    expect(clock([-3_600_000, -1_800_000, -2_000])).toBe(-2_000);
  });
});

describe('a status', () => {
  test('is read with signal, dropped readings and firmware; a member that does not fit is left out alone', () => {
    const said = { state: 'online', signalDbm: -61, dropped: 3, firmware: 'node 1.2', reset: 'watchdog' };
    const { reset: _, ...known } = said;
    expect(readStatus(bytes(JSON.stringify(said)))).toEqual(known);
    expect(readStatus(bytes('{"state":"offline","signalDbm":"strong","dropped":-1,"firmware":7}'))).toEqual({
      state: 'offline',
      signalDbm: null,
      dropped: null,
      firmware: null,
    });
  });

  test.each([
    '',
    '[]',
    'null',
    '"online"',
    '{"state":"asleep"}',
    '{',
    `{"state":"online","x":"${'x'.repeat(5000)}"}`,
  ])('of %.20s is none', (text) => {
    expect(readStatus(bytes(text))).toBeNull();
  });
});
