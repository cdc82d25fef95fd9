import { expect, test } from 'vitest';
import { shownSecret, webhookSignature } from '../../../../../server/adapters/notify/webhook.ts';
import { newSecret } from '../../../../../server/adapters/system/new-secret.ts';
import { isSigned } from '../../../../support/webhook-check.ts';

const SECRET = Buffer.from('a secret of 32 bytes, no less !!').toString('base64');
const attempt = { id: 'alarm-1', timestampS: 1_780_308_000, body: '{"type":"alarm.raised"}' };
const request = (over: Partial<typeof attempt> = {}) => {
  const { id, timestampS, body } = { ...attempt, ...over };
  const headers = {
    'webhook-id': id,
    'webhook-timestamp': String(timestampS),
    'webhook-signature': webhookSignature({ ...attempt, secret: SECRET }),
  };
  return { method: 'POST', path: '/alarm', headers, body, delivered: true };
};

test('a receiver that reads the specification finds the signature right; with 1 letter, second or id changed, wrong', () => {
  const shown = shownSecret(SECRET);
  expect(isSigned(request(), shown)).toBe(true);
  expect(isSigned(request({ body: '{"type":"alarm.Raised"}' }), shown)).toBe(false);
  expect(isSigned(request({ timestampS: attempt.timestampS + 1 }), shown)).toBe(false);
  expect(isSigned(request({ id: 'alarm-2' }), shown)).toBe(false);
  expect(isSigned(request(), shownSecret(Buffer.alloc(32, 7).toString('base64')))).toBe(false);
});

test('a new secret has 32 bytes, and is another each time', () => {
  expect(Buffer.from(newSecret(), 'base64')).toHaveLength(32);
  expect(newSecret()).not.toBe(newSecret());
});
