import { LIVE_ROUTES } from '../shared/routes/live.ts';
import { LIVE_MESSAGES } from '../shared/wire/live.ts';
import { DEVICE_NAME, MAX_PAYLOAD_BYTES } from './v1/limits.ts';
import { alarmTopic, HEARTBEAT_TOPIC, placeNowTopic, readingsTopic, statusTopic } from './v1/topics.ts';

/** Versions of the bindings of AsyncAPI. */
const MQTT = '0.2.0';
const WEBSOCKET = '0.1.0';
const LIVE = 'get /live';

const SERVERS = {
  broker: {
    host: '127.0.0.1:1883',
    protocol: 'mqtt',
    protocolVersion: '3.1.1',
    description: 'The embedded broker as it is set from the start: MQTT 3.1.1 alone.',
    security: [{ $ref: '#/components/securitySchemes/device' }],
  },
  brokerEncrypted: {
    host: '127.0.0.1:8883',
    protocol: 'secure-mqtt',
    protocolVersion: '3.1.1',
    description: 'The embedded broker once there is a certificate, TLS 1.2 or newer.',
    security: [{ $ref: '#/components/securitySchemes/device' }],
  },
  outsideBroker: {
    host: '{host}',
    protocol: 'mqtt',
    description: 'An outside broker instead, MQTT 3.1.1 or 5, with its own logins.',
    variables: { host: { description: 'where it is' } },
  },
  page: {
    host: '127.0.0.1:8340',
    protocol: 'ws',
    description: 'Where the page is served; wss where it is encrypted.',
    security: [
      { $ref: '#/components/securitySchemes/session' },
      { $ref: '#/components/securitySchemes/token' },
    ],
  },
} as const;

/** What is asked for once an owner password is set, or a device has a secret of its own. */
const SECURITY_SCHEMES = {
  device: {
    type: 'userPassword',
    description: 'The name of the device and its secret; or the login that sensors share.',
  },
  session: {
    type: 'httpApiKey',
    in: 'cookie',
    name: 'strikewell',
    description: 'The session of somebody who signed in; over https the name is __Host-strikewell.',
  },
  token: { type: 'http', scheme: 'bearer', description: 'A token with the scope read, made by an owner.' },
} as const;

type Topic = {
  readonly address: string;
  readonly summary: string;
  readonly contentType: string;
  readonly schemaFile: string;
  readonly action: 'receive' | 'send';
  readonly retain: boolean;
};

const TOPICS: Readonly<Record<string, Topic>> = {
  readings: {
    address: readingsTopic('{device}'),
    summary: `What a device has measured: a SenML pack of at most ${MAX_PAYLOAD_BYTES} bytes.`,
    contentType: 'application/senml+json',
    schemaFile: 'readings.schema.json',
    action: 'receive',
    retain: false,
  },
  status: {
    address: statusTopic('{device}'),
    summary: 'Whether a device is connected; also the Will of its connection.',
    contentType: 'application/json',
    schemaFile: 'status.schema.json',
    action: 'receive',
    retain: true,
  },
  heartbeat: {
    address: HEARTBEAT_TOPIC,
    summary: 'The daemon runs: sent every 30 s, with the time.',
    contentType: 'application/json',
    schemaFile: 'heartbeat.schema.json',
    action: 'send',
    retain: true,
  },
  placeNow: {
    address: placeNowTopic('{place}'),
    summary: 'The present state of a place; empty when it is gone.',
    contentType: 'application/json',
    schemaFile: 'place-now.schema.json',
    action: 'send',
    retain: true,
  },
  alarm: {
    address: alarmTopic('{alarm}'),
    summary: 'The state of an alarm; empty when it is gone with its place.',
    contentType: 'application/json',
    schemaFile: 'alarm.schema.json',
    action: 'send',
    retain: true,
  },
};

const PARAMETERS: Readonly<Record<string, string>> = {
  device: `the device’s name, ${DEVICE_NAME.source}`,
  place: 'the place’s id',
  alarm: 'the alarm’s id',
};

function topicChannel({ address, summary, contentType, schemaFile }: Topic): object {
  const parameter = /\{(\w+)\}/.exec(address)?.[1];
  const message = {
    summary,
    contentType,
    payload: { $ref: `./${schemaFile}` },
    bindings: { mqtt: { bindingVersion: MQTT } },
  };
  return {
    address,
    servers: ['broker', 'brokerEncrypted', 'outsideBroker'].map((name) => ({ $ref: `#/servers/${name}` })),
    ...(parameter === undefined
      ? {}
      : { parameters: { [parameter]: { description: PARAMETERS[parameter] } } }),
    messages: { message },
  };
}

/** The live feed: a message a type. */
function liveChannel(): object {
  const messages = Object.entries(LIVE_MESSAGES).map(([type, schema]) => {
    const { id, description } = schema.meta() ?? {};
    const payload = { $ref: `./live.schema.json#/$defs/${id}` };
    return [id, { name: type, summary: description, contentType: 'application/json', payload }];
  });
  const query = { type: 'object', properties: { parts: { type: 'string', enum: ['1'] } } };
  return {
    address: LIVE.split(' ')[1],
    description: `${LIVE_ROUTES[LIVE].summary}. Who must sign in sends the cookie of the session.`,
    servers: [{ $ref: '#/servers/page' }],
    messages: Object.fromEntries(messages),
    bindings: { ws: { method: 'GET', query, bindingVersion: WEBSOCKET } },
  };
}

function topicOperation([id, { action, retain }]: readonly [string, Topic]): readonly [string, object] {
  const bindings = { mqtt: { qos: 1, retain, bindingVersion: MQTT } };
  return [id, { action, channel: { $ref: `#/channels/${id}` }, bindings }];
}

/** What is sent without being asked for, over MQTT and on the live feed, as an AsyncAPI 3.0.0 document. */
export function asyncApi(): object {
  const topics = Object.entries(TOPICS);
  const channels = topics.map(([id, topic]) => [id, topicChannel(topic)]);
  return {
    asyncapi: '3.0.0',
    info: {
      title: 'Strikewell, what sensor nodes and the daemon send over MQTT, and the live feed of the page',
      version: '1.0.0',
      description: 'Seen from the daemon: it receives readings and status, and sends the rest.',
    },
    servers: SERVERS,
    channels: { ...Object.fromEntries(channels), live: liveChannel() },
    components: { securitySchemes: SECURITY_SCHEMES },
    operations: {
      ...Object.fromEntries(topics.map(topicOperation)),
      live: { action: 'send', channel: { $ref: '#/channels/live' } },
    },
  };
}
