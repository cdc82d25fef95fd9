import { readFileSync } from 'node:fs';
import { Ajv } from 'ajv';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { expect, test } from 'vitest';
import { contractFiles, knownProbesHeader, withProbesTable } from '../../../firmware-contracts/generate.ts';

const committed = (name: string): string =>
  readFileSync(new URL(`../../../firmware-contracts/v1/${name}`, import.meta.url), 'utf8');

test.each(Object.entries(contractFiles()))(
  'the committed %s is what "npm run contracts" writes now',
  (name, text) => {
    expect(committed(name)).toBe(text);
  },
);

test('the committed table of the C encoder is what "npm run contracts" writes now', () => {
  const file = new URL('../../../firmware-contracts/reference/known-probes.h', import.meta.url);
  expect(readFileSync(file, 'utf8')).toBe(knownProbesHeader());
});

test('the table of probes in the README is what "npm run contracts" writes now', () => {
  const readme = readFileSync(new URL('../../../firmware-contracts/README.md', import.meta.url), 'utf8');
  expect(readme).toContain('| `air/humidity` | `%RH`, `/` | 0 to 105 %RH |');
  expect(withProbesTable(readme)).toBe(readme);
});

test('the status schema takes "online" and "offline" with any further member, and nothing else', () => {
  const schema = new Ajv2020({ strict: true }).compile(JSON.parse(committed('status.schema.json')));
  expect(schema({ state: 'online', firmware: '1.4.2' })).toBe(true);
  expect(schema({ state: 'offline' })).toBe(true);
  expect(schema({ state: 'asleep' })).toBe(false);
  expect(schema({})).toBe(false);
});

/** Shape: AsyncAPI 3.0.0, operation.channel is a reference into channels; MQTT bindings 0.2.0, qos and retain. */
test('each of the 5 operations over MQTT in the AsyncAPI document names a channel that exists, QoS 1, and whether it is retained', () => {
  const document = JSON.parse(committed('asyncapi.json'));
  expect(document.asyncapi).toBe('3.0.0');
  const { live: _, ...overMqtt } = document.operations;
  const sent = Object.values<{ action: string; channel: { $ref: string }; bindings: { mqtt: object } }>(
    overMqtt,
  ).map(({ action, channel, bindings }) => [
    action,
    document.channels[channel.$ref.replace('#/channels/', '')].address,
    bindings.mqtt,
  ]);
  const mqtt = (retain: boolean) => ({ qos: 1, retain, bindingVersion: '0.2.0' });
  // Topics: the outside interface, version 1.
  expect(sent).toEqual([
    ['receive', 'strikewell/1/{device}/readings', mqtt(false)],
    ['receive', 'strikewell/1/{device}/status', mqtt(true)],
    ['send', 'strikewell/1/watch/heartbeat', mqtt(true)],
    ['send', 'strikewell/1/places/{place}/now', mqtt(true)],
    ['send', 'strikewell/1/alarms/{alarm}', mqtt(true)],
  ]);
});

test('each payload of the AsyncAPI document is a schema that is there, the 9 of the live feed one a type', () => {
  const { channels, operations } = JSON.parse(committed('asyncapi.json'));
  type Message = { name?: string; payload: { $ref: string } };
  const messagesOf = (channel: { messages: Record<string, Message> }) => Object.values(channel.messages);
  const all = Object.values<{ messages: Record<string, Message> }>(channels).flatMap(messagesOf);
  for (const { name, payload } of all) {
    const [file = '', pointer = ''] = payload.$ref.replace('./', '').split('#');
    const schema = JSON.parse(committed(file));
    const validate = new Ajv2020({ strictTypes: false })
      .addSchema(schema, file)
      .getSchema(payload.$ref.slice(2));
    expect(validate?.({})).toBe(false);
    if (name !== undefined)
      expect(schema.$defs[pointer.split('/')[2] ?? ''].properties.type.const).toBe(name);
  }
  expect(messagesOf(channels.live).map(({ name }) => name)).toEqual([
    ...['snapshot', 'part', 'now', 'place', 'place-gone', 'alarm', 'house', 'heard', 'beat'],
  ]);
  expect(channels.live.address).toBe('/live');
  expect(operations.live).toEqual({ action: 'send', channel: { $ref: '#/channels/live' } });
});

test('the AsyncAPI document fits the JSON Schema that the AsyncAPI initiative publishes for 3.0.0', () => {
  const published = new URL(import.meta.resolve('@asyncapi/specs/schemas/3.0.0-without-$id.json'));
  const ajv = new Ajv({ strict: false, validateFormats: false });
  const fits = ajv.compile(JSON.parse(readFileSync(published, 'utf8')));
  const document = JSON.parse(committed('asyncapi.json'));
  expect(fits(document), JSON.stringify(fits.errors)).toBe(true);
  expect(fits({ ...document, asyncapi: '2.0.0' })).toBe(false);
});

test.each(Object.keys(contractFiles()).filter((name) => name.endsWith('.schema.json')))(
  '%s says it is JSON Schema of draft 2020-12, and fits that draft’s own meta-schema',
  (name) => {
    const schema = JSON.parse(committed(name));
    expect(schema.$schema).toBe('https://json-schema.org/draft/2020-12/schema');
    const ajv = new Ajv2020({ strictTypes: false });
    expect(ajv.validateSchema(schema), JSON.stringify(ajv.errors)).toBe(true);
    expect(ajv.validateSchema({ ...schema, type: 'thing' })).toBe(false);
  },
);
