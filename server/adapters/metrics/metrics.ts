import { Counter, Gauge, Histogram, type Metric, type OpenMetricsContentType, Registry } from 'prom-client';
import type { Family, Measures } from '../../ports.ts';

/** Units in which names end; the library writes none of the lines that say so. */
const UNITS = /^# TYPE (\S+_(seconds|bytes|days)) .*$/gm;
/** A commit ends with its bytes on the disk: from a fast one to a card that is worn, s. */
const COMMIT_BUCKETS_S = [0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1, 2.5];

/** What is measured as it happens, and the text of all that is measured. @source [OPENMETRICS] section 3 */
export function createMeasures(): Measures {
  const commits = new Histogram({
    name: 'strikewell_commit_seconds',
    help: 'How long it took to store a group of messages.',
    buckets: COMMIT_BUCKETS_S,
    registers: [],
  });
  return {
    timed(work) {
      const stop = commits.startTimer();
      try {
        return work();
      } finally {
        stop();
      }
    },
    async text(families) {
      const registry = new Registry<OpenMetricsContentType>();
      registry.setContentType(Registry.OPENMETRICS_CONTENT_TYPE);
      for (const family of families) register(family, registry);
      registry.registerMetric(commits);
      return (await registry.metrics()).replaceAll(UNITS, '$&\n# UNIT $1 $2');
    },
  };
}

function register({ name, type, help, samples }: Family, registry: Registry<OpenMetricsContentType>): void {
  const known = samples.filter(({ value }) => Number.isFinite(value));
  // one without labels would be 0 from the start, which nobody measured
  if (known.length === 0) return;
  if (type === 'info') {
    registry.registerMetric(infoOf({ name, help }, known));
    return;
  }
  const labelNames = [...new Set(known.flatMap(({ labels = {} }) => Object.keys(labels)))];
  const options = { name, help, labelNames, registers: [registry] };
  if (type === 'counter') {
    const counter = new Counter(options);
    for (const { labels = {}, value } of known) counter.inc(labels, value);
    return;
  }
  const gauge = new Gauge(options);
  for (const { labels = {}, value } of known) gauge.set(labels, value);
}

/** The library writes whatever says its type and its samples; it brings no infos of its own. */
function infoOf({ name, help }: Pick<Family, 'name' | 'help'>, samples: Family['samples']): Metric {
  const values = samples.map((sample) => ({ ...sample, metricName: `${name}_info` }));
  const info = { name, help, type: 'info' };
  return { ...info, get: async () => ({ ...info, values }) } as unknown as Metric;
}
