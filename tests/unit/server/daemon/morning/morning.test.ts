import { beforeAll, describe, expect, test } from 'vitest';
import { duration } from '../../../../../shared/words/plain.ts';
import { clockByHand, comingRoundEvery } from '../../support/hand.ts';
import { startHouse } from '../../support/house.ts';
import { recordsOf, type Values } from '../../support/ruled.ts';

/** The fifteen questions of a morning, asked of the real daemon over a night that was reported to it. */
const MINUTE_MS = 60_000;
/** Evening before the night; the installation is in UTC, its night from 20:00 on. */
const EVENING_MS = Date.UTC(2026, 5, 1, 19, 30);
const GOOD: Values = { 'air/temperature': 16, 'air/humidity': 90, 'root/temperature': 23 };

function housePerNight() {
  const hand = comingRoundEvery(clockByHand(EVENING_MS), 5 * MINUTE_MS);
  const house = startHouse({ hand });
  const course = async (values: Readonly<Record<string, Values | null>>, times: number) => {
    for (let n = 0; n < times; n++) {
      for (const [device, one] of Object.entries(values))
        if (one !== null) await house.report(recordsOf(one), device);
      hand.pass(10 * MINUTE_MS);
    }
  };
  const { queries } = house.daemon;
  const answersTo = (number: number) =>
    queries.night(null).answers[number - 1]?.answers.map(({ sentence }) => sentence) ?? [];
  return { house, hand, course, queries, answersTo };
}

/** A night in which the air was 31 °C for 40 min and the root zone 18.6 °C for two hours. */
async function badNight() {
  const started = housePerNight();
  const { course } = started;
  await course({ 'bench-1': GOOD }, 8);
  await course({ 'bench-1': { ...GOOD, 'air/temperature': 31 } }, 4);
  await course({ 'bench-1': GOOD }, 6);
  await course({ 'bench-1': { ...GOOD, 'root/temperature': 18.6 } }, 12);
  await course({ 'bench-1': GOOD }, 4);
  return started;
}

describe('the fifteen questions', () => {
  let bad: Awaited<ReturnType<typeof badNight>>;
  beforeAll(async () => {
    bad = await badNight();
  }, 120_000);

  test('are all asked and all answered in sentences, whose 14 and more numbers are those their explanations give', () => {
    const { queries } = bad;
    const { answers } = queries.night(null);
    expect(answers.map(({ number }) => number)).toEqual(Array.from({ length: 15 }, (_, i) => i + 1));
    let numbers = 0;
    for (const { question, answers: said } of answers) {
      expect(question).toMatch(/^[A-Z].*\?$/);
      expect(said.length).toBeGreaterThan(0);
      for (const { sentence, numbers: asked } of said) {
        expect(sentence).toMatch(/^[A-Z0-9].*\.$/);
        for (const { placeId, of, from, to } of asked) {
          const span = { fromMs: Date.parse(from), toMs: Date.parse(to) };
          const { value } = queries.explain(placeId, { of, span, limits: null });
          const written = value === null ? [] : writings(Math.abs(value));
          expect(
            written.some((words) => sentence.includes(words)),
            `${of} ${value}: ${sentence}`,
          ).toBe(true);
          numbers += 1;
        }
      }
    }
    expect(numbers).toBeGreaterThanOrEqual(14);
  });

  test('say of a hot hour when it was hottest, and how far and how long over the ceiling', () => {
    const { answersTo } = bad;
    // from 16 to 31 in 10 min and back, 30 min at 31: over 26.7 for 30 + 20 · 4.3 / 15 min, and so the dose
    expect(answersTo(2)).toEqual([
      'Highest air 31.0 °C at 20:50; over the ceiling for 35 min, 2.4 °C·h in all.',
    ]);
    expect(answersTo(1)[0]).toMatch(
      /^Air above its band for .* from 20:4\d to 21:2\d; .*root zone below its band for/,
    );
    expect(answersTo(3)[0]).toMatch(/^The root zone was below its band for .*lowest 18\.6 °C at 22:30\./);
  });

  test('say of the mat only what is measured: no power, so the root zone alone; power, for how long', async () => {
    const { answersTo, course } = bad;
    expect(answersTo(3)[0]).toMatch(/The power of the mat is not measured|It fell towards the air/);
    await course({ 'bench-1': { ...GOOD, 'heat/power': 60 } }, 7);
    expect(answersTo(3)[0]).toContain('The heating had power for 1 h.');
  });

  test('never say well of what was not measured: without humidity, light, mist or batches they say so', async () => {
    const { course, answersTo } = housePerNight();
    await course({ 'bench-1': { 'air/temperature': 16, 'root/temperature': 23 } }, 12);
    expect(answersTo(5)).toEqual(['Not known: no humidity was read.']);
    expect(answersTo(6)[0]).toMatch(/^Not known: vents cannot be recognised/);
    expect(answersTo(7)[0]).toMatch(/^Not known: /);
    expect(answersTo(8)).toEqual(['Not known: air temperature and humidity were not both read.']);
    expect(answersTo(9)).toEqual(['Not known: there is no light probe.']);
    expect(answersTo(12)).toEqual(['Not known: no batch is entered.']);
    expect(answersTo(14)).toEqual(['There are no two open batches of one crop to compare.']);
    const all = JSON.stringify(Array.from({ length: 15 }, (_, i) => answersTo(i + 1)));
    expect(all).not.toMatch(/\b(ready|well|nothing to do|all is)\b/i);
  });

  test('of a night in which nothing was read say that at each question about the climate', async () => {
    const { course, answersTo, hand } = housePerNight();
    await course({ 'bench-1': GOOD }, 1);
    hand.pass(2 * 60 * MINUTE_MS);
    for (const number of [1, 2, 3, 4, 5, 8]) expect(answersTo(number)[0]).toMatch(/^Not known: /);
    expect(answersTo(10)[0]).toMatch(/^0 of 3 probes report\./);
    expect(answersTo(11).join(' ')).toContain('Nothing is on record of this night.');
  });

  test('name the places of which there is something to say, count those that held, and group what is not known', async () => {
    const { course, answersTo } = housePerNight();
    const hot = { ...GOOD, 'air/temperature': 30 };
    const none = { 'root/temperature': 23 };
    await course({ 'bench-1': GOOD, 'bench-2': GOOD, 'bench-3': GOOD, 'bench-4': none, 'bench-5': none }, 12);
    await course({ 'bench-1': GOOD, 'bench-2': hot, 'bench-3': GOOD, 'bench-4': none, 'bench-5': none }, 6);
    const [first, unknown, well] = answersTo(2);
    expect(first).toMatch(/^bench-2: Highest air 30\.0 °C at /);
    expect(unknown).toBe('Not known of bench-4, bench-5: no air temperature was read.');
    expect(well).toBe('2 places did not go above the ceiling.');
  });

  test('tell a vent of which it is not known whether humidity came back from no vent at all', async () => {
    const { course, answersTo, house } = housePerNight();
    const both = { 'bench-1': GOOD, 'bench-2': GOOD, 'bench-3': GOOD };
    await course(both, 2);
    for (const id of Object.keys(both)) house.daemon.orders.patchPlace(id, { kind: 'dome' });
    house.daemon.orders.logVent('bench-1', {
      fromMs: EVENING_MS,
      toMs: EVENING_MS + 20 * MINUTE_MS,
      note: null,
    });
    await course(both, 10);
    expect(answersTo(6)).toEqual([
      'Not known of bench-2, bench-3: vents cannot be recognised: readings too far apart.',
      'In 1 place it is not known whether humidity came back after the last vent.',
    ]);
  });

  test('do not say that a place held its bands that left them for 2 minutes', async () => {
    const { course, answersTo, house, hand } = housePerNight();
    // as warm as the band of the day, then down with it to that of the night, and on beyond midnight
    for (const i of [0, 0, 0, 0, 1, 2, 3, 4, 5, 6, 7, 8, 9])
      await course({ 'bench-1': { ...GOOD, 'air/temperature': 22 - (6 * i) / 9 } }, 1);
    await course({ 'bench-1': GOOD }, 18);
    await house.report(recordsOf(GOOD));
    for (const root of [20.5, 20.5, 23]) {
      hand.pass(MINUTE_MS);
      await house.report(recordsOf({ ...GOOD, 'root/temperature': root }));
    }
    await course({ 'bench-1': GOOD }, 4);
    expect(answersTo(1)).toEqual(['Nothing went out of its bands but for less than 5 min.']);
    expect(answersTo(3)[0]).toMatch(/^The root zone held its band but for less than 5 min, lowest 20\.5/);
  });

  test('tell of an alarm who was notified and who acknowledged it, and what was entered since yesterday', async () => {
    const { course, answersTo, house } = housePerNight();
    const robin = house.daemon.people.add({ name: 'Robin', quiet: null });
    house.daemon.people.addContactMethod(robin.id, { kind: 'mail', address: 'robin@bench.example' });
    await course({ 'bench-1': GOOD }, 12);
    await course({ 'bench-1': { ...GOOD, 'air/temperature': 31 } }, 3);
    house.daemon.orders.acknowledge('bench-1.air-over-ceiling', { by: 'Robin' });
    house.daemon.orders.logVent('bench-1', {
      fromMs: EVENING_MS,
      toMs: EVENING_MS + 20 * MINUTE_MS,
      note: 'cap off',
    });
    await course({ 'bench-1': GOOD }, 3);
    const [said] = answersTo(15);
    expect(said).toMatch(/^Entered: vent entered at 19:30/);
    expect(said).toContain('(cap off)');
    expect(said).toMatch(
      /Alarm at 21:\d\d, air over its ceiling: Robin, e-mail notified; Robin acknowledged at 22:00\./,
    );
  });

  test('of an earlier night are answered by its own readings, and batches are not compared as if it were today', () => {
    const { hand, queries } = bad;
    hand.pass(24 * 60 * MINUTE_MS);
    const { answers, installation } = queries.night('2026-06-02');
    expect(answers[1]?.answers[0]?.sentence).toContain('Highest air 31.0 °C');
    expect(installation.pairs).toBeNull();
    expect(answers[13]?.answers[0]?.sentence).toBe(
      'Batches are compared as they are now: open the page Batches.',
    );
  });
});

/** How a number may be written in a sentence: with up to two decimals, or as a span of hours. */
function writings(value: number): string[] {
  const decimals = [0, 1, 2].map((digits) => value.toFixed(digits));
  return [...decimals, duration(Math.round(value * 60 * MINUTE_MS))];
}
