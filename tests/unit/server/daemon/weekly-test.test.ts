import { describe, expect, onTestFinished, test } from 'vitest';
import { openStore } from '../../../../server/adapters/sqlite/store.ts';
import type { TestView } from '../../../../shared/wire/people.ts';
import { type MailServer, startMailServer } from '../../../support/smtp.ts';
import { startWebhook } from '../../../support/webhook.ts';
import { isSigned } from '../../../support/webhook-check.ts';
import { clockByHand } from '../support/hand.ts';
import { databaseFile, START_MS, startHouse } from '../support/house.ts';
import { passSending, realCarrier, SECRET } from '../support/real-carrier.ts';

const MINUTE_MS = 60_000;
const HOUR_MS = 60 * MINUTE_MS;
const WEEK_MS = 7 * 24 * HOUR_MS;
/** START_MS is Monday, 1 June 2026, 10:00 UTC: the weekly test, 10:30 here, comes half an hour later. */
const WEEKLY = { on: true, weekday: 1, at: '10:30', confirmWithinH: 24 };
const ALARM = 'house.test-unconfirmed';

/** A house with Robin by a real mail server and a real webhook, and Sam, asleep until 11:00, by mail. */
async function testedHouse() {
  const mail = await startMailServer();
  onTestFinished(() => mail.close());
  const webhook = await startWebhook();
  onTestFinished(() => webhook.close());
  const hand = clockByHand(START_MS);
  const store = openStore({ file: databaseFile(), nowMs: START_MS });
  const { carrier, idle } = realCarrier(hand, mail.url);
  const start = () => startHouse({ store, hand, carrier, webhookUrl: null });
  const house = start();
  const { people } = house.daemon;
  const robin = people.add({ name: 'Robin', quiet: null });
  people.addContactMethod(robin.id, { kind: 'mail', address: 'robin@bench.example' });
  people.addContactMethod(robin.id, { kind: 'webhook', url: webhook.url });
  const sam = people.add({ name: 'Sam', quiet: { from: '22:00', to: '11:00' } });
  people.addContactMethod(sam.id, { kind: 'mail', address: 'sam@bench.example' });
  people.setWeeklyTest(WEEKLY);
  const pass = (lastsMs: number, stepMs = MINUTE_MS) => passSending(hand, { lastsMs, stepMs, idle });
  /** the same house after the machine was off for a time, ms */
  const off = (before: typeof house, lastsMs: number) => {
    before.daemon.stop();
    hand.pass(lastsMs);
    return start();
  };
  return { mail, webhook, store, off, house, robin, sam, pass };
}

type Tested = Awaited<ReturnType<typeof testedHouse>>;
type House = Tested['house'];

const tokenOf = (text: string) => /\/answer\/(\S+)/.exec(text)?.[1] ?? '';
const mailTo = ({ mails }: MailServer, to: string) => mails.filter((one) => one.to[0]?.startsWith(to));
const testMails = ({ mails }: MailServer) =>
  mails.filter(({ headers }) => headers['subject']?.includes('a test'));
const alarmOf = ({ daemon }: House) => daemon.queries.alarms().find(({ id }) => id === ALARM);
const testsOf = ({ daemon }: House) => daemon.people.answer().tests;
const words = ({ wayId, takenAt, confirmedAt }: TestView) =>
  `way ${wayId} ${takenAt === null ? 'waits' : 'taken'}${confirmedAt === null ? '' : ', confirmed'}`;

describe('the weekly test of Monday 10:30', () => {
  test('goes to 3 ways, not into quiet hours, as a test, signed; 2 confirm by their links, the 3rd is an alarm after 24 h until it confirms late', async () => {
    const { mail, webhook, house, off, pass } = await testedHouse();
    await pass(29 * MINUTE_MS);
    expect([mail.mails.length, webhook.requests.length]).toEqual([0, 0]);
    await pass(3 * MINUTE_MS);
    expect(mail.mails.map(({ to }) => to[0])).toEqual(['robin@bench.example']);
    expect(webhook.requests).toHaveLength(1);
    await pass(30 * MINUTE_MS);
    expect(mailTo(mail, 'sam')).toHaveLength(1);

    const [toRobin] = mailTo(mail, 'robin');
    expect(toRobin?.headers['subject']).toBe('Strikewell: a test, nothing is wrong');
    expect(toRobin?.text).toContain('This is a test. Nothing is wrong.');
    expect(toRobin?.text).toContain('It reached me: https://bench.example/answer/');
    const [asked] = webhook.requests;
    expect(asked && isSigned(asked, `whsec_${SECRET}`)).toBe(true);
    const notice = JSON.parse(asked?.body ?? '{}');
    expect([notice.type, notice.data.alarm]).toEqual(['test', null]);

    const { people } = house.daemon;
    expect(people.view(tokenOf(toRobin?.text ?? ''))).toMatchObject({
      state: 'good',
      ask: { button: 'It reached me' },
    });
    expect(testsOf(house).map(words)).toEqual(['way 3 taken', 'way 2 taken', 'way 1 taken']);
    expect(people.follow(tokenOf(toRobin?.text ?? '')).words).toMatch(
      /^Confirmed, 3\d min after it was sent/,
    );
    expect(people.follow(tokenOf(toRobin?.text ?? ''))).toMatchObject({ state: 'spent', ask: null });
    expect(people.follow(tokenOf(notice.data.answer)).state).toBe('good');

    // Sam's was held until 11:00, so its 24 h end at 11:00
    const later = off(house, 23 * HOUR_MS + 50 * MINUTE_MS);
    await pass(2 * MINUTE_MS);
    expect(alarmOf(later)).toBeUndefined();
    await pass(13 * MINUTE_MS);
    expect(alarmOf(later)).toMatchObject({ state: 'unacknowledged', priority: 'low', placeId: null });
    expect(alarmOf(later)?.facts).toMatchObject({ tests: [{ who: 'Sam over e-mail', error: null }] });
    const [toSam] = mailTo(mail, 'sam');
    expect(later.daemon.people.follow(tokenOf(toSam?.text ?? '')).state).toBe('good');
    expect(alarmOf(later)?.state).toBe('returned-unacknowledged');
    expect(mail.mails).toHaveLength(2);
  });

  test('with the daemon started again every 10 min is sent once, also when the machine was off at 10:30 and for 3 weeks', async () => {
    const { mail, webhook, house, off, pass } = await testedHouse();
    let now = house;
    for (let part = 0; part < 9; part++) {
      await pass(10 * MINUTE_MS);
      now = off(now, 0);
    }
    expect([mail.mails.length, webhook.requests.length]).toEqual([2, 1]);
    now = off(now, 3 * WEEK_MS);
    await pass(3 * MINUTE_MS);
    expect([testMails(mail).length, testsOf(now).length]).toEqual([4, 6]);
    now = off(now, 0);
    await pass(3 * MINUTE_MS);
    expect(testMails(mail)).toHaveLength(4);
    // nobody confirmed the first: it is active while the second waits
    expect(alarmOf(now)?.facts).toMatchObject({
      tests: [{ who: 'Robin over e-mail' }, { who: 'Robin over webhook' }, { who: 'Sam over e-mail' }],
    });
  });

  test('that the mail server refuses says why, and is no second message while it is tried', async () => {
    const { mail, house, robin, off, pass } = await testedHouse();
    await mail.close();
    await pass(32 * MINUTE_MS);
    const shown = () => testsOf(house).find(({ wayId }) => wayId === 1);
    expect(shown()).toMatchObject({
      takenAt: null,
      givenUp: false,
      error: expect.stringMatching(/ECONNREFUSED/),
    });
    expect(house.daemon.people.testNow({ personId: robin.id, wayId: 1 })).toEqual([]);
    const later = off(house, 25 * HOUR_MS);
    await pass(3 * MINUTE_MS);
    expect(alarmOf(later)?.facts).toMatchObject({
      tests: [
        { who: 'Robin over e-mail', error: expect.stringMatching(/ECONNREFUSED/) },
        { who: 'Robin over webhook', error: null },
        { who: 'Sam over e-mail' },
      ],
    });
    expect(shown()?.givenUp).toBe(true);
  });

  test('comes also after the clock was a year ahead for a while', async () => {
    const { mail, house, store, pass } = await testedHouse();
    store.pathTests.setWeekly(WEEKLY, START_MS + 52 * WEEK_MS);
    await pass(32 * MINUTE_MS);
    expect(testMails(mail)).toHaveLength(1);
    expect(testsOf(house)).toHaveLength(3);
  });

  test('is not sent when it is off, nor right away when its hour is set to one that has passed today', async () => {
    const { mail, house, off, pass } = await testedHouse();
    const { people } = house.daemon;
    people.setWeeklyTest({ ...WEEKLY, at: '09:30' });
    await pass(2 * HOUR_MS);
    expect(people.answer().weeklyTest).toMatchObject({ at: '09:30', nextAt: '2026-06-08T09:30:00.000Z' });
    people.setWeeklyTest({ ...WEEKLY, on: false });
    off(house, WEEK_MS);
    await pass(3 * MINUTE_MS);
    expect(people.answer().weeklyTest.nextAt).toBeNull();
    expect(mail.mails).toEqual([]);
  });
});

describe('a test somebody asks for', () => {
  test('goes at once by all 2 ways of Robin, or by 1, also in quiet hours, and can be confirmed on the page', async () => {
    const { mail, webhook, house, off, robin, sam, pass } = await testedHouse();
    const { people } = house.daemon;
    people.setWeeklyTest({ ...WEEKLY, on: false });
    expect(people.testNow({ personId: robin.id, wayId: null })).toHaveLength(2);
    expect(people.testNow({ personId: sam.id, wayId: 3 })).toHaveLength(1);
    await pass(2_000, 1_000);
    expect([mail.mails.length, webhook.requests.length]).toEqual([2, 1]);
    const [newest] = testsOf(house);
    expect(people.confirmTest(newest?.id ?? 0).confirmedAt).not.toBeNull();
    expect(testsOf(house).map(words)).toEqual(['way 3 taken, confirmed', 'way 2 taken', 'way 1 taken']);
    const later = off(house, 25 * HOUR_MS);
    await pass(3 * MINUTE_MS);
    expect(alarmOf(later)).toBeUndefined();
  });

  test('of a way that was changed since is forgotten, and its link says so; after 7 days a link works no more', async () => {
    const { mail, house, off, robin, sam, pass } = await testedHouse();
    const { people } = house.daemon;
    people.setWeeklyTest({ ...WEEKLY, on: false });
    people.testNow({ personId: robin.id, wayId: 1 });
    people.testNow({ personId: sam.id, wayId: 3 });
    await pass(2_000, 1_000);
    people.updateContactMethod(
      { personId: robin.id, wayId: 1 },
      { kind: 'mail', address: 'other@bench.example' },
    );
    expect(people.follow(tokenOf(mailTo(mail, 'robin')[0]?.text ?? '')).state).toBe('over');
    expect(testsOf(house).map(({ wayId }) => wayId)).toEqual([3]);
    off(house, WEEK_MS);
    expect(people.follow(tokenOf(mailTo(mail, 'sam')[0]?.text ?? '')).state).toBe('expired');
  });
});
