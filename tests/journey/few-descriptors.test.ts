import { readFileSync } from 'node:fs';
import { connectAsync } from 'mqtt';
import { expect, it, onTestFinished } from 'vitest';
import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { startChild } from '../support/child.ts';
import { LAUNCHER } from '../support/command.ts';
import { untilReady } from '../support/daemon.ts';
import { plainEnvironment } from '../support/environment.ts';
import { temporaryFolder } from '../support/folders.ts';
import { freePort } from '../support/ports.ts';
import { type RawClient, rawClient } from '../support/raw-mqtt.ts';
import { until } from '../support/wait.ts';

const PACK = (value: number) => JSON.stringify([{ n: 'air/temperature', u: 'Cel', v: value }]);

async function withDescriptors(most: number) {
  const [httpPort, mqttPort] = [await freePort(), await freePort()];
  const settings = {
    STRIKEWELL_DATA_DIR: temporaryFolder('data'),
    STRIKEWELL_HTTP_PORT: String(httpPort),
    STRIKEWELL_MQTT_PORT: String(mqttPort),
  };
  const args = ['-c', `ulimit -n ${most}; exec "$0" "$1" serve`, process.execPath, LAUNCHER];
  const child = startChild({ command: 'bash', args, env: plainEnvironment(settings) });
  onTestFinished(() => child.end('SIGTERM').then(() => undefined));
  const httpUrl = `http://127.0.0.1:${httpPort}`;
  await untilReady({ httpUrl, hasEnded: child.hasEnded, said: child.stderr, withinMs: 60_000 });
  return { child, httpUrl, httpPort, mqttPort };
}

/** Processor time that a process used, ms, at 100 ticks a second. */
function cpuMs(pid: number): number {
  const fields = readFileSync(`/proc/${pid}/stat`, 'utf8').split(') ')[1]?.split(' ') ?? [];
  return (Number(fields[11]) + Number(fields[12])) * 10;
}

it.each([64, 128])(
  'with %i file descriptors and 200 newcomers who is connected is served, a backup is made, and the processor rests',
  async (most) => {
    const { child, httpUrl, httpPort, mqttPort } = await withDescriptors(most);
    const device = await connectAsync(`mqtt://127.0.0.1:${mqttPort}`);
    await device.publishAsync(readingsTopic('bench'), PACK(20), { qos: 1 });
    const newcomers: RawClient[] = [];
    for (let n = 0; n < 200; n++) newcomers.push(await rawClient(n % 2 === 0 ? httpPort : mqttPort));
    await device.publishAsync(readingsTopic('bench'), PACK(21), { qos: 1 });
    expect((await fetch(`${httpUrl}/api/v1/places/bench`)).status).toBe(200);
    expect((await fetch(`${httpUrl}/api/v1/backups`, { method: 'POST' })).status).toBeLessThan(300);
    const made = async () => {
      const text = await (await fetch(`${httpUrl}/api/v1/backups`)).text();
      return /"running":null/.test(text) && /"verified":true/.test(text) ? true : null;
    };
    await until(made, { what: 'a backup', withinMs: 60_000 });
    const beforeMs = cpuMs(child.pid);
    const startedMs = performance.now();
    await new Promise((resolve) => setTimeout(resolve, 2_000));
    expect((cpuMs(child.pid) - beforeMs) / (performance.now() - startedMs)).toBeLessThan(0.5);
    expect(child.hasEnded()).toBe(false);
    expect(child.stderr()).not.toContain('EMFILE');
    for (const { socket } of newcomers) socket.destroy();
    await device.endAsync();
  },
  120_000,
);
