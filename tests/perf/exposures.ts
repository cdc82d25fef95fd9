import { readingsTopic } from '../../firmware-contracts/v1/topics.ts';
import { startDaemon } from '../support/daemon.ts';
import { connectPublisher } from '../support/mqttPublisher.ts';
import { openRecord } from '../support/record.ts';
import { seededNumbers } from '../support/seeded.ts';
import { until } from '../support/wait.ts';
import { type Figure, quantile } from './figure.ts';
import type { Sizes } from './sizes.ts';

const DEVICE = 'bench';
const CADENCE_S = 60;
const READINGS_A_PACK = 500;
const PROBES = [
  { n: 'air/temperature', u: 'Cel', low: 15, high: 29 },
  { n: 'air/humidity', u: '%RH', low: 60, high: 100 },
  { n: 'root/temperature', u: 'Cel', low: 20, high: 28 },
  { n: 'leaf/temperature', u: 'Cel', low: 15, high: 29 },
  { n: 'light/ppfd', u: 'umol/m2/s', low: 0, high: 900 },
] as const;

/** How long a place's exposures over its whole record take to be asked, worked out and answered. */
export async function placeExposures(sizes: Sizes): Promise<Figure[]> {
  const daemon = await startDaemon();
  const readingsAProbe = (sizes.exposureDays * 86_400) / CADENCE_S;
  const startS = Math.floor(Date.now() / 1000) - sizes.exposureDays * 86_400;
  const publisher = await connectPublisher({ url: daemon.mqttUrl });
  for (const payload of packsOf({ readingsAProbe, startS, seed: sizes.seed }))
    await publisher.publish({ topic: readingsTopic(DEVICE), payload });
  await publisher.close();
  const record = openRecord(daemon.dataDir);
  const stored = () => (record.count(DEVICE) === PROBES.length * readingsAProbe ? true : null);
  await until(stored, { what: 'whole record', withinMs: 60_000 });
  record.close();
  const span = `from=${timeOf(startS)}&to=${timeOf(startS + sizes.exposureDays * 86_400)}`;
  const tookMs: number[] = [];
  for (let query = 0; query < sizes.exposureQueries; query += 1) {
    const startMs = performance.now();
    const { status } = await daemon.get(`/api/v1/places/${DEVICE}/exposures?${span}`);
    if (status !== 200) throw new Error(`exposures answered ${status}`);
    tookMs.push(performance.now() - startMs);
  }
  await daemon.close();
  const medianMs = quantile(tookMs, 0.5);
  const segments = PROBES.length * (readingsAProbe - 1);
  const name = `exposures of 1 place over ${sizes.exposureDays} days, ${PROBES.length} probes at ${CADENCE_S} s`;
  return [
    { name: `${name}, median`, value: medianMs, unit: 'ms' },
    { name: `${name}, read segments`, value: (segments * 1000) / medianMs, unit: 'segments/s' },
  ];
}

/** Each probe wanders within its range by a slow wave and a little noise. */
function* packsOf(of: { readingsAProbe: number; startS: number; seed: number }): Generator<string> {
  const next = seededNumbers(of.seed);
  const rows = READINGS_A_PACK / PROBES.length;
  for (let first = 0; first < of.readingsAProbe; first += rows) {
    const count = Math.min(rows, of.readingsAProbe - first);
    const records = Array.from({ length: count }, (_, k) => {
      const t = (first + k) * CADENCE_S;
      const wave = 0.5 + 0.45 * Math.sin((2 * Math.PI * t) / 86_400);
      return PROBES.map(({ n, u, low, high }) => {
        const v = Math.round(100 * (low + (high - low) * (wave + 0.05 * next()))) / 100;
        return { n, u, v, t: of.startS + t };
      });
    });
    yield JSON.stringify(records.flat());
  }
}

function timeOf(seconds: number): string {
  return new Date(seconds * 1000).toISOString();
}
