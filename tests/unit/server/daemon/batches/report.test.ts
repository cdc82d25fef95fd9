import { describe, expect, test } from 'vitest';
import { reportCsv } from '../../../../../server/domain/exchange/write/report-out.ts';
import { clockByHand } from '../../support/hand.ts';
import { airRecord, START_MS, startHouse } from '../../support/house.ts';

const MINUTE_MS = 60_000;

/** A batch on a bench that was at 22 °C but for 90 min at 34 °C, from 10:10 to 11:40, with an alarm that Ada acknowledged. */
async function afterAHotNoon() {
  const hand = clockByHand(START_MS);
  const house = startHouse({ hand });
  const { batches, orders, queries } = house.daemon;
  const hold = async (valueC: number, minutes: number) => {
    for (let minute = 0; minute < minutes; minute++) {
      await house.report([airRecord(valueC)]);
      hand.pass(MINUTE_MS);
    }
  };
  await hold(22, 5);
  const { id } = batches.add({
    placeId: 'bench-1',
    crop: 'Coleus',
    sheetId: 'poinsettia',
    stuckMs: START_MS,
    count: 100,
    details: {},
  });
  await hold(22, 5);
  await hold(34, 90);
  const alarm = queries.alarms().find(({ rule }) => rule === 'air-over-ceiling');
  orders.acknowledge(alarm?.id ?? '', { by: 'Ada' });
  await hold(22, 80);
  batches.addCount(id, {
    atMs: hand.clock.nowMs(),
    count: {
      looked: 50,
      rooted: 20,
      lost: [
        { cause: 'wilted', n: 4 },
        { cause: '=rot', n: 9 },
      ],
    },
  });
  return { house, batches, id };
}

describe('what happened to a batch', () => {
  test('has the hours in which heat did harm, worst first, which together are the harm of the whole', async () => {
    const { house, batches, id } = await afterAHotNoon();
    const report = await batches.report(id);
    const hours = report.worstHours;
    const hot = hours.filter(({ kinds }) => kinds.some(({ kind }) => kind === 'air-over-ceiling'));
    expect(
      hours
        .slice(0, 2)
        .map(({ from }) => new Date(from).getUTCHours())
        .toSorted(),
    ).toEqual([10, 11]);
    expect(hot).toEqual(hours.slice(0, 2));
    expect(hours[0]?.harm).toBeGreaterThanOrEqual(hours[1]?.harm ?? 1);
    expect(hours[0]?.kinds[0]).toMatchObject({ kind: 'air-over-ceiling', peak: 34, unit: '°C' });
    const together = hours.flatMap(({ kinds }) => kinds).filter(({ kind }) => kind === 'air-over-ceiling');
    const harm = together.reduce((sum, one) => sum + one.harm, 0);
    expect(harm).toBeCloseTo(report.exposures.whole.harm?.['air-over-ceiling'] ?? 0, 9);
    expect(harm).toBeGreaterThan(0);
    house.daemon.stop();
  });

  test('has each alarm with who acknowledged it and when it was over, and what took cuttings, most first', async () => {
    const { house, batches, id } = await afterAHotNoon();
    const { alarms, losses } = await batches.report(id);
    const heat = alarms.find(({ rule }) => rule === 'air-over-ceiling');
    expect(heat).toMatchObject({ acknowledgedBy: 'Ada', priority: 'high', placeId: 'bench-1' });
    expect(Date.parse(heat?.returned ?? '')).toBeGreaterThan(Date.parse(heat?.acknowledged ?? ''));
    expect(Date.parse(heat?.raised ?? '')).toBeGreaterThanOrEqual(START_MS + 10 * MINUTE_MS);
    expect(losses).toEqual([
      { cause: '=rot', n: 9 },
      { cause: 'wilted', n: 4 },
    ]);
    house.daemon.stop();
  });

  test('is CSV with a row a fact; a cause that begins like a formula is shown, not run', async () => {
    const { house, batches, id } = await afterAHotNoon();
    const about = { placeId: null, batchId: id, note: 'leaves hang', by: 'Ada' };
    house.daemon.diary.add({ ...about, kind: 'misted', atMs: START_MS + 30 * MINUTE_MS });
    const report = await batches.report(id);
    const text = await batches.reportCsv(id);
    const lines = text.split('\r\n');
    expect(lines[0]).toBe('part,from,to,place,what,value,unit,who');
    expect(lines).toContain("cause of losses,,,,'=rot,9,,");
    expect(lines).toContain('diary,2026-06-01T10:30:00.000Z,,bench-1,misted,leaves hang,,Ada');
    expect(lines.filter((line) => line.startsWith('worst hour,'))).toHaveLength(
      report.worstHours.length + report.worstHours.flatMap(({ kinds }) => kinds).length,
    );
    expect(lines.find((line) => line.startsWith('alarm,'))).toMatch(/,Ada$/);
    expect(reportCsv(report)).toBe(text);
    house.daemon.stop();
  });

  test('is refused for a batch that is not there', async () => {
    const { house, batches } = await afterAHotNoon();
    await expect(batches.report('99')).rejects.toThrow('There is no batch 99');
    house.daemon.stop();
  });
});
