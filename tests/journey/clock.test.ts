import { expect, onTestFinished, test } from 'vitest';
import { z } from 'zod';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { clockAnswerSchema } from '../../shared/wire/clock.ts';
import { runCommand } from '../support/command.ts';
import { type Daemon, startDaemon } from '../support/daemon.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { until } from '../support/wait.ts';
import { wallClock } from '../support/wall-clock.ts';
import { startWebhook, type Webhook } from '../support/webhook.ts';

const DAY_S = 86_400;
const [MILD_C, HOT_C] = [21, 48];
const WITHIN_MS = 60_000;

const noticeSchema = z.object({
  type: z.string(),
  data: z.object({ alarm: z.object({ placeId: z.string().nullable(), rule: z.string() }) }),
});
const nowSchema = z.looseObject({
  quantities: z.looseObject({ airTemperatureC: z.looseObject({ value: z.number() }) }),
});

/** Sends one reading of the air without a time of its own, as a device without a clock does. */
async function blow(daemon: Daemon, device: string, valueC: number): Promise<void> {
  const publisher = await connectPublisher({ url: daemon.mqttUrl });
  const payload = JSON.stringify([{ n: 'air/temperature', u: 'Cel', v: valueC }]);
  await publisher.publish({ topic: readingsTopic(device), payload });
  await publisher.close();
}

/** Waits until somebody is called about hot air at a place. */
async function untilCalled(webhook: Webhook, placeId: string): Promise<void> {
  const isCall = (body: string) => {
    const { type, data } = noticeSchema.parse(JSON.parse(body));
    return (
      type === 'alarm.raised' && data.alarm.placeId === placeId && data.alarm.rule.endsWith('over-ceiling')
    );
  };
  await until(() => (webhook.requests.some(({ body }) => isCall(body)) ? true : null), {
    what: `call about ${placeId}`,
    withinMs: WITHIN_MS,
  });
}

async function startSet(aheadS: number) {
  const webhook = await startWebhook();
  const clock = wallClock(aheadS);
  const daemon = await startDaemon({
    settings: {
      ...clock.settings,
      STRIKEWELL_WEBHOOK_URL: webhook.url,
      STRIKEWELL_TIME_ZONE: 'UTC',
      STRIKEWELL_KEEP_RAW_DAYS: '35',
    },
  });
  onTestFinished(async () => {
    await daemon.close();
    await webhook.close();
  });
  return { webhook, clock, daemon };
}

/** Beyond 19 January 2038, 03:14:08 UTC, where 32 bits with a sign end. */
const beyond2038S = () => Math.ceil((Date.UTC(2039, 0, 1) - Date.now()) / 1000);

test('with the clock set by an hour, a day, a year and beyond 2038, either way and back, with restarts between, air at 48 °C raises and calls each time', async () => {
  const { webhook, clock, daemon } = await startSet(0);
  const sizes = [
    { name: 'hour', aheadS: 3_600, restarts: false },
    { name: 'day', aheadS: DAY_S, restarts: true },
    { name: 'year', aheadS: 365 * DAY_S, restarts: false },
    { name: '2038', aheadS: beyond2038S(), restarts: true },
  ];
  for (const { name, aheadS, restarts } of sizes) {
    for (const byS of [aheadS, -aheadS]) {
      const [there, back] = [`${name}-${byS > 0 ? 'ahead' : 'behind'}`, `${name}-${byS > 0 ? 'back' : 'on'}`];
      await blow(daemon, there, MILD_C);
      await blow(daemon, back, MILD_C);
      clock.set(byS);
      if (restarts) {
        await daemon.kill();
        await daemon.start();
      }
      await blow(daemon, back, MILD_C);
      await blow(daemon, there, HOT_C);
      await untilCalled(webhook, there);
      clock.set(0);
      await blow(daemon, back, HOT_C);
      await untilCalled(webhook, back);
    }
  }
  const { steady, jumps } = await daemon.read('/api/v1/clock', clockAnswerSchema);
  expect(steady).toBe(false);
  expect(jumps.length).toBe(2 * 2 * sizes.length);
  expect(jumps.map(({ byS }) => Math.abs(byS)).at(-1)).toBeGreaterThan(3_595);
  const alarmsSchema = z.object({
    alarms: z.array(z.looseObject({ rule: z.string(), state: z.string() })),
  });
  // it is raised by the next look at the time
  const isRaised = async () => {
    const { alarms } = await daemon.read('/api/v1/alarms', alarmsSchema);
    return alarms.find(({ rule, state }) => rule === 'clock-jumped' && state === 'unacknowledged') ?? null;
  };
  await until(isRaised, { what: 'alarm of the clock', withinMs: WITHIN_MS });
}, 240_000);

test('on a record that began 400 days ahead, a start with the right clock raises and calls, and doctor names the readings of the future', async () => {
  const { webhook, clock, daemon } = await startSet(400 * DAY_S);
  for (let i = 0; i < 3; i++) await blow(daemon, 'bench-1', MILD_C);
  await daemon.kill();
  const doctor = await runCommand(['doctor', '--json'], {
    STRIKEWELL_DATA_DIR: daemon.dataDir,
    STRIKEWELL_HTTP_PORT: String(daemon.httpPort),
    STRIKEWELL_MQTT_PORT: String(daemon.mqttPort),
  });
  expect(doctor.code).toBe(1);
  const lines = z
    .object({
      lines: z.array(z.object({ of: z.string(), found: z.string(), remedy: z.string().nullable() })),
    })
    .parse(JSON.parse(doctor.stdout)).lines;
  const [said] = lines.filter(({ of }) => of === 'clock');
  expect(said?.found).toMatch(/; 3 readings are in the future, the latest at \d{4}-/);
  expect(said?.found).toMatch(/behind \d{4}-.*, when Strikewell ran last/);
  expect(said?.remedy).toContain('time synchronisation');
  clock.set(0);
  await daemon.start();
  await blow(daemon, 'bench-1', HOT_C);
  await untilCalled(webhook, 'bench-1');
  const { quantities } = await daemon.read('/api/v1/places/bench-1/now', nowSchema);
  expect(quantities.airTemperatureC.value).toBe(HOT_C);
}, 120_000);
