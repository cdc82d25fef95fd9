import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { expect, test } from 'vitest';
import { contractFiles } from '../../../firmware-contracts/generate.ts';

const committed = (name: string): string =>
  readFileSync(new URL(`../../../firmware-contracts/v1/${name}`, import.meta.url), 'utf8');

test.each(Object.entries(contractFiles()))(
  'the committed %s is what "npm run contracts" writes now',
  (name, text) => {
    expect(committed(name)).toBe(text);
  },
);

test('the status schema takes "online" and "offline" with any further member, and nothing else', () => {
  const schema = new Ajv2020({ strict: true }).compile(JSON.parse(committed('status.schema.json')));
  expect(schema({ state: 'online', firmware: '1.4.2' })).toBe(true);
  expect(schema({ state: 'offline' })).toBe(true);
  expect(schema({ state: 'asleep' })).toBe(false);
  expect(schema({})).toBe(false);
});

/** Shape: AsyncAPI 3.0.0, operation.channel is a reference into channels; MQTT bindings 0.2.0, qos and retain. */
test('each of the 5 operations of the AsyncAPI document names a channel that exists, QoS 1, and whether it is retained', () => {
  const document = JSON.parse(committed('asyncapi.json'));
  expect(document.asyncapi).toBe('3.0.0');
  const told = Object.values<{ action: string; channel: { $ref: string }; bindings: { mqtt: object } }>(
    document.operations,
  ).map(({ action, channel, bindings }) => [
    action,
    document.channels[channel.$ref.replace('#/channels/', '')].address,
    bindings.mqtt,
  ]);
  const mqtt = (retain: boolean) => ({ qos: 1, retain, bindingVersion: '0.2.0' });
  // Topics: the outside interface, version 1.
  expect(told).toEqual([
    ['receive', 'strikewell/1/{device}/readings', mqtt(false)],
    ['receive', 'strikewell/1/{device}/status', mqtt(true)],
    ['send', 'strikewell/1/watch/heartbeat', mqtt(true)],
    ['send', 'strikewell/1/places/{place}/now', mqtt(true)],
    ['send', 'strikewell/1/alarms/{alarm}', mqtt(true)],
  ]);
});
