import { describe, expect, test } from 'vitest';
import { causeInWords } from '../../../../server/domain/causes/judged.ts';
import { alarmSentence } from '../../../../shared/words/alarm.ts';
import { clockByHand, comingRoundEvery } from '../support/hand.ts';
import { type SentRecord, startHouse } from '../support/house.ts';

const MIN_MS = 60_000;
const START_MS = Date.UTC(2026, 5, 1, 10);
const READER = { unit: 'C', timeZone: 'UTC', nowMs: START_MS } as const;

type At = { readonly air: number; readonly ppfd: number; readonly humidity: number };

/** 100 quiet minutes, then what is given minute by minute. */
async function houseOf(event: (min: number) => At, minutes: number) {
  const hand = comingRoundEvery(clockByHand(START_MS), 10_000);
  const house = startHouse({ hand });
  for (let min = -100; min <= minutes; min++) {
    const { air, ppfd, humidity } = min < 0 ? { air: 22, ppfd: 30, humidity: 88 } : event(min);
    const t = hand.clock.nowMs() / 1000;
    const records: SentRecord[] = [
      { n: 'air/temperature', u: 'Cel', v: air + 0.03 * Math.sin(min), t },
      { n: 'air/humidity', u: '%RH', v: humidity + 0.2 * Math.sin(min * 2), t },
      { n: 'light/ppfd', u: 'umol/m2/s', v: ppfd, t },
    ];
    await house.report(records);
    hand.pass(MIN_MS);
  }
  return house.daemon.queries.alarms().find(({ rule }) => rule === 'air-over-ceiling');
}

/** The sun comes within 10 min; the air follows by a third of a degree a minute. */
const sun = (min: number): At => ({
  air: 22 + Math.min(9, min * 0.3),
  ppfd: 30 + Math.min(400, min * 40),
  humidity: 88 - Math.min(20, min * 0.4),
});

describe('the text of an alarm', () => {
  test('names the sun with what was seen for it, in place of what it usually is, ten minutes after the limit', async () => {
    const alarm = await houseOf(sun, 29);
    expect(alarm?.cause).toMatchObject({ key: 'sun-on-cover' });
    const said = alarm && alarmSentence(alarm, READER);
    expect(said).toContain('Likely the sun has come on a closed cover. To be sure: shade it');
    expect(said).toMatch(/Seen: light up by \d+ µmol m⁻² s⁻¹ in 40 min; air rose \d+\.\d °C in 30 min\./);
    expect(said).not.toContain('Usually');
    // what to do first stays
    expect(said).toContain('Shade it first, then open vents and any cover.');
  });

  test('says that the cause is not known where nothing but the air moved', async () => {
    const alarm = await houseOf((min) => ({ air: 22 + Math.min(9, min * 0.3), ppfd: 30, humidity: 88 }), 29);
    expect(alarm?.cause?.key).toBeNull();
    const said = alarm && alarmSentence(alarm, READER);
    expect(said).toContain('Cause not known.');
    expect(said).not.toContain('Usually');
  });

  test('before ten minutes are over says only what is beyond doubt', () => {
    const hypothesis = {
      cause: 'mat-off',
      score: 0.6,
      evidence: ['a'],
      sentence: 'the mat is off',
      toBeSure: 'feel it',
    } as const;
    const verdict = { likely: hypothesis, isConfident: false, hypotheses: [hypothesis] };
    expect(causeInWords(verdict, { isFinal: false })).toMatchObject({
      key: null,
      sentence: 'Cause not known yet.',
    });
    expect(causeInWords(verdict, { isFinal: true })).toMatchObject({
      key: 'mat-off',
      sentence: 'Likely the mat is off. To be sure: feel it.',
    });
    const doubtful = { likely: null, isConfident: false, hypotheses: [hypothesis] };
    expect(causeInWords(doubtful, { isFinal: true }).sentence).toBe(
      'Cause not known. It may be that the mat is off. To be sure: feel it.',
    );
  });
});
