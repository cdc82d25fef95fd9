import { expect, test } from 'vitest';
import { sendByWebhook, shownSecret } from '../../../../../server/adapters/notify/webhook.ts';
import { newSecret } from '../../../../../server/adapters/system/new-secret.ts';
import type { HttpRequest } from '../../../../../server/ports.ts';
import { isSigned } from '../../../../support/webhook-check.ts';

const SECRET = Buffer.from('a secret of 32 bytes, no less !!').toString('base64');
const SENT_MS = 1_780_308_000_999;

/** What a receiver is sent of one message. */
async function requestSent(): Promise<HttpRequest> {
  const sent: HttpRequest[] = [];
  const sendHttp = async (request: HttpRequest) => {
    sent.push(request);
    return { status: 204, retryAfter: null };
  };
  const message = { key: 'alarm-1', body: '{"type":"alarm.raised"}' };
  const { signal } = new AbortController();
  const to = { url: 'https://receiver.example/alarm', ownAddresses: false, secret: SECRET, signal };
  expect(await sendByWebhook(message, { sendHttp, nowMs: SENT_MS, ...to })).toEqual({ delivered: true });
  const [request] = sent;
  if (request === undefined) throw new Error('nothing was sent');
  return request;
}

test('a receiver that reads the specification finds the signature right; with 1 letter, second or id changed, wrong', async () => {
  const { headers = {}, ...request } = await requestSent();
  const body = String(request.body);
  const isRight = (changed: Readonly<Record<string, string>>, of = body, secret = shownSecret(SECRET)) =>
    isSigned(
      { method: 'POST', path: '/alarm', headers: { ...headers, ...changed }, body: of, delivered: true },
      secret,
    );
  expect(headers).toMatchObject({ 'webhook-id': 'alarm-1', 'webhook-timestamp': '1780308000' });
  expect(isRight({})).toBe(true);
  expect(isRight({}, '{"type":"alarm.Raised"}')).toBe(false);
  expect(isRight({ 'webhook-timestamp': '1780308001' })).toBe(false);
  expect(isRight({ 'webhook-id': 'alarm-2' })).toBe(false);
  expect(isRight({}, body, shownSecret(Buffer.alloc(32, 7).toString('base64')))).toBe(false);
});

test('a new secret has 32 bytes, and is another each time', () => {
  expect(Buffer.from(newSecret(), 'base64')).toHaveLength(32);
  expect(newSecret()).not.toBe(newSecret());
});
