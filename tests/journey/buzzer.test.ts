import { readFileSync } from 'node:fs';
import { Ajv2020 } from 'ajv/dist/2020.js';
import { expect, onTestFinished, test } from 'vitest';
import { answersOf, compiled } from '../support/c-program.ts';
import { startDaemon } from '../support/daemon.ts';
import { connectPublisher, connectSubscriber } from '../support/mqttPublisher.ts';
import { until } from '../support/wait.ts';

const TOPIC = /^strikewell\/1\/alarms\/.*ceiling/;

function schemaNamed(name: string) {
  const file = new URL(`../../firmware-contracts/v1/${name}.schema.json`, import.meta.url);
  return new Ajv2020({ strictTypes: false }).compile(JSON.parse(readFileSync(file, 'utf8')));
}

test('air of 30 °C for 2 min makes the daemon say what fits alarm.schema.json and makes the buzzer sound; acknowledged, it is quiet', async () => {
  const buzzer = compiled({ reference: ['buzzer.c'], support: 'buzz.c' });
  const daemon = await startDaemon();
  onTestFinished(() => daemon.close());
  const listener = await connectSubscriber({ url: daemon.mqttUrl }, 'strikewell/1/#');
  onTestFinished(() => listener.close());
  const nowS = Math.floor(Date.now() / 1000);
  const records = [120, 90, 60, 30, 0].map((agoS) => ({
    n: 'air/temperature',
    u: 'Cel',
    v: 30,
    t: nowS - agoS,
  }));
  const publisher = await connectPublisher({ url: daemon.mqttUrl });
  await publisher.publish({ topic: 'strikewell/1/hot/readings', payload: JSON.stringify(records) });
  await publisher.close();

  const lastOn = (topic: RegExp) => listener.received.findLast((message) => topic.test(message.topic));
  const saying = (state: string) => {
    const said = () => {
      const last = lastOn(TOPIC);
      return last?.payload.includes(`"state":"${state}"`) ? last : null;
    };
    return until(said, { what: `an alarm that is ${state}`, withinMs: 10_000 });
  };
  const sounds = ({ topic, payload }: { topic: string; payload: string }) =>
    answersOf({ file: buzzer, args: ['0'], lines: [`1\t1\t${topic}\t${payload}`] })[0];

  const deviation = await saying('unacknowledged');
  expect(schemaNamed('alarm')(JSON.parse(deviation.payload))).toBe(true);
  expect(sounds(deviation)).toBe('1');
  const alarm = JSON.parse(deviation.payload).id;
  await daemon.post(`/api/v1/alarms/${alarm}/acknowledge`, {});
  expect(sounds(await saying('acknowledged'))).toBe('0');
  const beat = lastOn(/watch\/heartbeat$/)?.payload ?? '';
  expect(schemaNamed('heartbeat')(JSON.parse(beat))).toBe(true);
});
