import { describe, expect, test } from 'vitest';
import type { Alarm } from '../../../../shared/model/alarms/alarm.ts';
import { clockByHand, comingRoundEvery } from '../support/hand.ts';
import { type House, startHouse } from '../support/house.ts';
import { recordsOf, type Values } from '../support/ruled.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
/** Midnight of a day on which no clock changes. */
const MIDNIGHT_MS = Date.UTC(2026, 5, 1);

/** Between two hours a value goes from 0 to 1, before it is 0 and after it 1. */
const rise = (hour: number, from: number, over: number) => Math.min(1, Math.max(0, (hour - from) / over));

/** A dome in a room: 22 to 25 °C by day, 16 by night, cool again an hour after dusk, near saturation but for a vent at noon. */
function climateAt(minute: number): Values {
  const hour = (minute / 60) % 24;
  const stir = Math.sin(minute / 7) * 0.15 + Math.sin(minute / 97) * 0.1;
  const sun = Math.max(0, Math.sin(((hour - 6) / 14) * Math.PI));
  const warmth = rise(hour, 6, 1.2) - rise(hour, 20, 1.2);
  const open = hour >= 12 && hour < 12.5;
  const shutForMin = (hour - 12.5) * 60;
  const damp = 98.7 + stir * 4;
  const dry = 62 + stir * 8;
  const comingBack = shutForMin >= 0 && shutForMin < 20 ? 1 - (1 - shutForMin / 20) ** 2 : 1;
  return {
    'air/temperature': 16 + 6.3 * warmth + 2 * sun + stir + (open ? -0.6 : 0),
    'air/humidity': Math.min(100, open ? dry : dry + (damp - dry) * comingBack),
    'light/ppfd': 160 * sun,
  };
}

type Story = { readonly answers: boolean; readonly rootAt?: (minute: number) => number };

/** Three days read every three minutes; messages, every alarm as pages saw it, and what is active at the end. */
async function threeDays({ answers, rootAt }: Story) {
  const taken: unknown[] = [];
  const carrier = {
    send: (_method: unknown, message: unknown) => {
      taken.push(message);
      return Promise.resolve({ delivered: true } as const);
    },
  };
  const house = startHouse({ hand: comingRoundEvery(clockByHand(MIDNIGHT_MS), MINUTE_MS / 4), carrier });
  for (let minute = 0; minute < 72 * 60; minute += 3) {
    const root = rootAt ? { 'root/temperature': rootAt(minute) } : {};
    await house.report(recordsOf({ ...climateAt(minute), ...root }));
    if (minute === 9 && answers)
      house.daemon.orders.setUp('bench-1', { kind: 'dome', mat: false, roots: 'herbaceous' });
    house.hand.pass(3 * MINUTE_MS);
  }
  return { house, delivered: taken, seen: alarmsSeen(house) };
}

function alarmsSeen({ sent: reported }: House): Alarm[] {
  return reported.flatMap(({ kind, what }) => (kind === 'alarm' ? [what as Alarm] : []));
}

const asking = ({ state, suppression }: Alarm) =>
  suppression === 'none' && (state === 'unacknowledged' || state === 'returned-unacknowledged');

/** The root zone of a tray without heat: as the air was some hours ago. */
const unheated = (minute: number) => 17 + (climateAt(Math.max(0, minute - 90))['air/temperature'] ?? 16) / 10;

describe('72 h of a good dome, 97 to 100 %RH but for a vent of half an hour each noon, no mat', () => {
  test('answered, with a probe in its unheated medium, call nobody and ask nobody', {
    timeout: 300_000,
  }, async () => {
    const { house, delivered: taken, seen } = await threeDays({ answers: true, rootAt: unheated });
    expect(taken).toEqual([]);
    expect(seen.filter(asking)).toEqual([]);
    expect(house.daemon.queries.alarms().filter(({ state }) => state !== 'normal')).toEqual([]);
    // each vent was noticed, and is named as the reason why dry air called nobody
    const held = seen.filter(({ suppressedReason }) => suppressedReason?.includes('the cover was opened'));
    expect(new Set(held.map(({ raisedAtMs }) => raisedAtMs)).size).toBe(3);
    const { vpd } = house.daemon.queries.exposures('bench-1', {
      fromMs: MIDNIGHT_MS + HOUR_MS,
      toMs: MIDNIGHT_MS + 72 * HOUR_MS,
    });
    expect(vpd.hoursBelow).toBe(0);
    const { findings } = house.daemon.queries.findings({ placeId: 'bench-1', span: null });
    expect(findings).toEqual([]);
  });

  test('not answered yet, with the contract’s bands, call nobody either', { timeout: 300_000 }, async () => {
    const { house, delivered: taken, seen } = await threeDays({ answers: false, rootAt: unheated });
    expect(taken).toEqual([]);
    expect(seen.filter(asking)).toEqual([]);
    // what is judged is judged by the sheet of the first contact: the root zone was below its band
    const root = house.daemon.queries.alarms().find(({ rule }) => rule === 'root-below-band');
    expect(root).toMatchObject({ state: 'unacknowledged', suppression: 'by-design' });
    expect(root?.suppressedReason).toBe('the three questions about this place are not answered yet');
    const span = { fromMs: MIDNIGHT_MS + HOUR_MS, toMs: MIDNIGHT_MS + 72 * HOUR_MS };
    expect(house.daemon.queries.exposures('bench-1', span).rootZone.hoursBelow).toBeCloseTo(71, 1);
  });
});
