import { afterAll, beforeAll, describe, expect, test } from 'vitest';
import { createPusher, makePushKeys, readPushKeys } from '../../../../../server/adapters/push/push.ts';
import { anywhere, noSignal } from '../../../../support/outgoing.ts';
import { openPush, type PushService, startPushService } from '../../../../support/push-service.ts';

/** RFC 8291, section 5 and appendix A: the example, to hold our own reading of the RFC against. */
const EXAMPLE = {
  body: 'DGv6ra1nlYgDCS1FRnbzlwAAEABBBP4z9KsN6nGRTbVYI_c7VJSPQTBtkgcy27mlmlMoZIIgDll6e3vCYLocInmYWAmS6TlzAC8wEqKK6PBru3jl7A_yl95bQpu6cVPTpK4Mqgkf1CXztLVBSt2Ks3oZwbuwXPXLWyouBWLVWGNWQexSgSxsj_Qulcy4a-fN',
  privateKey: 'q1dXpw3UpT5VOmu_cf_v6ih07Aems3njxI-JWgLcM94',
  publicKey: 'BCVxsr7N_eNgVRqvHtD0zTZsEc6-VV-JvLexhqUzORcxaOzi6-AYWXvTBHm4bjyPjs7Vd8pZGH6SRpkNtoIAiw4',
  auth: 'BTBZMqHH6r4Tts7J_aSIgg',
  text: 'When I grow up, I want to be a watermelon',
};

let service: PushService;
beforeAll(async () => {
  service = await startPushService();
});
afterAll(() => service.close());

const contact = 'mailto:watch@bench.example';
const methodTo = ({ subscription }: PushService) => ({ kind: 'push', name: 'phone', subscription }) as const;
const body = (over: object = {}) =>
  JSON.stringify({
    type: 'alarm.raised',
    timestamp: '2026-06-01T02:14:00.000Z',
    data: {
      subject: 'Dome on the sill: air 28.9 °C.',
      message: 'Dome on the sill: air 28.9 °C. Shade it first.',
      answer: null,
      answerPath: '/answer/abc',
      alarm: { id: 'dome.air-over-ceiling', priority: 'high', raisedAtMs: 5 },
      ...over,
    },
  });

test('what opens messages in these tests opens the example of RFC 8291', () => {
  const bytes = (text: string) => Buffer.from(text, 'base64url');
  const { privateKey, publicKey, auth } = EXAMPLE;
  const receiver = { privateKey: bytes(privateKey), publicKey: bytes(publicKey), auth: bytes(auth) };
  expect(openPush(bytes(EXAMPLE.body), receiver)).toBe(EXAMPLE.text);
});

const pusher = (keys = readPushKeys(makePushKeys())) =>
  createPusher({ keys, contact, sendHttp: anywhere, ownAddresses: () => true });

describe('a push service', () => {
  test('is given a sealed message the browser opens, signed for it, urgent, kept for 1 h, the return in place of the raising', async () => {
    const keys = readPushKeys(makePushKeys());
    const send = pusher(keys);
    expect(await send(methodTo(service), { key: 'a', body: body() }, noSignal)).toEqual({ delivered: true });
    await send(methodTo(service), { key: 'b', body: body({ answerPath: null }) }, noSignal);
    const [raised, returned] = service.pushed.splice(0);
    expect(JSON.parse(raised?.text ?? '')).toMatchObject({
      title: 'Dome on the sill: air 28.9 °C.',
      body: 'Shade it first.',
      tag: 'dome.air-over-ceiling',
      opens: '/#/alarms/dome.air-over-ceiling',
      answerPath: '/answer/abc',
    });
    expect(raised?.vapid).toMatchObject({ sub: contact, key: keys.publicKey });
    expect(raised?.headers).toMatchObject({ ttl: '3600', urgency: 'high', 'content-encoding': 'aes128gcm' });
    // RFC 8030, section 5.4: at most 32 characters of base64url
    expect(raised?.headers['topic']).toMatch(/^[A-Za-z0-9_-]{1,32}$/);
    expect(returned?.headers['topic']).toBe(raised?.headers['topic']);
  });

  test('is given a test as a high alarm would come, with the button "It reached me"', async () => {
    const send = pusher();
    const { data } = JSON.parse(body({ alarm: null }));
    await send(
      methodTo(service),
      {
        key: 'c',
        body: JSON.stringify({ type: 'test', timestamp: '', data }),
      },
      noSignal,
    );
    const [pushed] = service.pushed.splice(0);
    expect(pushed?.headers).toMatchObject({ ttl: '3600', urgency: 'high' });
    expect(JSON.parse(pushed?.text ?? '')).toMatchObject({
      type: 'test',
      tag: 'test',
      answerPath: '/answer/abc',
      answerTitle: 'It reached me',
    });
  });

  test.each([
    ['test', null, '/answer/abc'],
    ['sheet.morning', null, '/#/night'],
    ['alarm.digest', null, '/#/alarms'],
    [
      'alarm.raised',
      { id: 'my bench.no-data', priority: 'low', raisedAtMs: 5 },
      '/#/alarms/my%20bench.no-data',
    ],
  ])('of type %s is told that a tap opens what it is about', async (type, alarm, opens) => {
    const { data } = JSON.parse(body({ alarm }));
    const sent = JSON.stringify({ type, timestamp: '', data });
    await pusher()(methodTo(service), { key: 'd', body: sent }, noSignal);
    const [pushed] = service.pushed.splice(0);
    expect(JSON.parse(pushed?.text ?? '')).toMatchObject({ opens });
  });

  // RFC 8030, section 7.3: 404 or 410 ends a subscription; 429 and 5xx are worth another try
  test.each([
    [410, true],
    [404, true],
    [429, false],
    [503, false],
  ])('that answers %i is an end: %s', async (status, forGood) => {
    service.answer(status);
    const send = pusher();
    expect(await send(methodTo(service), { key: 'a', body: body() }, noSignal)).toMatchObject({
      delivered: false,
      forGood,
    });
    service.answer(201);
  });

  test('that answers 429 with Retry-After says when to be tried again; with 500 it is not asked', async () => {
    const send = pusher();
    service.answer(429, { 'retry-after': '120' });
    expect(await send(methodTo(service), { key: 'a', body: body() }, noSignal)).toMatchObject({
      retryAfter: '120',
    });
    service.answer(500, { 'retry-after': '120' });
    expect(await send(methodTo(service), { key: 'a', body: body() }, noSignal)).toMatchObject({
      retryAfter: null,
    });
    service.answer(201);
  });

  test('is sent words cut to what it carries, of 40,000 characters under 4,096 bytes', async () => {
    const send = pusher();
    expect(
      await send(methodTo(service), { key: 'a', body: body({ message: 'ä'.repeat(40_000) }) }, noSignal),
    ).toEqual({
      delivered: true,
    });
    const [pushed] = service.pushed.splice(0);
    expect(Number(pushed?.headers['content-length'])).toBeLessThan(4_096);
  });
});
