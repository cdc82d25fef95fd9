import { readFileSync, writeFileSync } from 'node:fs';
import { z } from 'zod';
import { PACK_FAULTS } from '../shared/faults.ts';
import {
  ALSO_SENT_IN,
  PROBE_QUANTITIES,
  PROBE_QUANTITY_NAMES,
  type ProbeQuantity,
} from '../shared/quantities.ts';
import { alarmMessageSchema, heartbeatSchema } from './v1/from-watch.ts';
import { DEVICE_NAME, MAX_PAYLOAD_BYTES } from './v1/limits.ts';
import { readingsPackSchema } from './v1/readings.ts';
import { statusSchema } from './v1/status.ts';
import { alarmTopic, HEARTBEAT_TOPIC, placeNowTopic, readingsTopic, statusTopic } from './v1/topics.ts';

const schemaOf = (schema: z.ZodType): object =>
  z.toJSONSchema(schema, { target: 'draft-2020-12', io: 'input' });

const MQTT = '0.2.0';

type Channel = {
  readonly address: string;
  readonly summary: string;
  readonly contentType: string;
  readonly payload: object;
  readonly action: 'receive' | 'send';
  readonly retain: boolean;
};

const CHANNELS: Readonly<Record<string, Channel>> = {
  readings: {
    address: readingsTopic('{device}'),
    summary: `What a device has measured: a SenML pack of at most ${MAX_PAYLOAD_BYTES} bytes.`,
    contentType: 'application/senml+json',
    payload: { $ref: './readings.schema.json' },
    action: 'receive',
    retain: false,
  },
  status: {
    address: statusTopic('{device}'),
    summary: 'Whether a device is connected; also the Will of its connection.',
    contentType: 'application/json',
    payload: { $ref: './status.schema.json' },
    action: 'receive',
    retain: true,
  },
  heartbeat: {
    address: HEARTBEAT_TOPIC,
    summary: 'The daemon lives: sent every 30 s, with the time.',
    contentType: 'application/json',
    payload: { $ref: './heartbeat.schema.json' },
    action: 'send',
    retain: true,
  },
  placeNow: {
    address: placeNowTopic('{place}'),
    summary: 'The present state of a place.',
    contentType: 'application/json',
    payload: { type: 'object' },
    action: 'send',
    retain: true,
  },
  alarm: {
    address: alarmTopic('{alarm}'),
    summary: 'The state of an alarm; empty when it is gone with its place.',
    contentType: 'application/json',
    payload: { $ref: './alarm.schema.json' },
    action: 'send',
    retain: true,
  },
};

const PARAMETERS: Readonly<Record<string, string>> = {
  device: `the device’s name, ${DEVICE_NAME.source}`,
  place: 'the place’s id',
  alarm: 'the alarm’s id',
};

function channelOf({ address, summary, contentType, payload }: Channel): object {
  const parameter = /\{(\w+)\}/.exec(address)?.[1];
  return {
    address,
    ...(parameter === undefined
      ? {}
      : { parameters: { [parameter]: { description: PARAMETERS[parameter] } } }),
    messages: { message: { summary, contentType, payload, bindings: { mqtt: { bindingVersion: MQTT } } } },
  };
}

function operationOf([id, { action, retain }]: readonly [string, Channel]): readonly [string, object] {
  const bindings = { mqtt: { qos: 1, retain, bindingVersion: MQTT } };
  return [id, { action, channel: { $ref: `#/channels/${id}` }, bindings }];
}

function asyncApi(): object {
  const channels = Object.entries(CHANNELS);
  return {
    asyncapi: '3.0.0',
    info: {
      title: 'Strikewell, what sensor nodes and the daemon say over MQTT',
      version: '1.0.0',
      description: 'Seen from the daemon: it receives readings and status, and sends the rest.',
    },
    channels: Object.fromEntries(channels.map(([id, channel]) => [id, channelOf(channel)])),
    operations: Object.fromEntries(channels.map(operationOf)),
  };
}

/** The files beside the schemas, by name: what is published for firmware authors. */
export function contractFiles(): Readonly<Record<string, string>> {
  const files = {
    'readings.schema.json': schemaOf(readingsPackSchema),
    'status.schema.json': schemaOf(statusSchema),
    'heartbeat.schema.json': schemaOf(heartbeatSchema),
    'alarm.schema.json': schemaOf(alarmMessageSchema),
    'faults.json': PACK_FAULTS,
    'asyncapi.json': asyncApi(),
  };
  return Object.fromEntries(
    Object.entries(files).map(([name, content]) => [name, `${JSON.stringify(content, null, 2)}\n`]),
  );
}

/** The well-known probes for the C encoder: ranges in thousandths, inclusive. */
export function knownProbesHeader(): string {
  const rows = PROBE_QUANTITY_NAMES.map((name) => {
    const { unitCode, low, high } = PROBE_QUANTITIES[name];
    return `    {"${name}", "${unitCode}", ${low * 1000}, ${high * 1000}},`;
  });
  return [
    '/* Made by "npm run contracts" from shared/quantities.ts. */',
    'static const known_probe KNOWN[] = {',
    ...rows,
    '};',
    '',
  ].join('\n');
}

/** The well-known probes as the README lists them. */
export function knownProbesTable(): string {
  const rows = PROBE_QUANTITY_NAMES.map((name) => {
    const { unitCode, unit, low, high, onOff }: ProbeQuantity = PROBE_QUANTITIES[name];
    const also = (ALSO_SENT_IN[unitCode] ?? []).map(([code]) => `\`${code}\``);
    const codes = [`\`${unitCode}\``, ...also, ...(onOff ? ['`vb` without unit'] : [])];
    const range = `${low} to ${high} ${unit}`.trim().replaceAll('-', '−');
    return `| \`${name}\` | ${codes.join(', ')} | ${range} |`;
  });
  return ['| probe | units | accepted range |', '| --- | --- | --- |', ...rows].join('\n');
}

const BETWEEN = /(<!-- probes: made by npm run contracts -->\n)[\s\S]*?(\n<!-- end -->)/;

/** The README with the table of probes as it is now. */
export function withProbesTable(readme: string): string {
  return readme.replace(BETWEEN, (_, before, after) => `${before}${knownProbesTable()}${after}`);
}

if (import.meta.main) {
  const readme = new URL('README.md', import.meta.url);
  writeFileSync(readme, withProbesTable(readFileSync(readme, 'utf8')));
  writeFileSync(new URL('reference/known-probes.h', import.meta.url), knownProbesHeader());
  for (const [name, text] of Object.entries(contractFiles())) {
    writeFileSync(new URL(`v1/${name}`, import.meta.url), text);
  }
}
