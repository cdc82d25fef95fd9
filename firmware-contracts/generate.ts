import { readFileSync, writeFileSync } from 'node:fs';
import { z } from 'zod';
import { PACK_FAULTS } from '../shared/faults.ts';
import { schemaOfSent } from '../shared/json-schema.ts';
import {
  ALSO_SENT_IN,
  PROBE_QUANTITIES,
  PROBE_QUANTITY_NAMES,
  type ProbeQuantity,
} from '../shared/quantities.ts';
import { liveMessageSchema } from '../shared/wire/live.ts';
import { alarmMessageSchema, heartbeatSchema, placeNowMessageSchema } from '../shared/wire/topics.ts';
import { asyncApi } from './asyncapi.ts';
import { readingsPackSchema } from './v1/readings.ts';
import { statusSchema } from './v1/status.ts';

/** Of what a device sends. */
const schemaOfRead = (schema: z.ZodType): object =>
  z.toJSONSchema(schema, { target: 'draft-2020-12', io: 'input' });

/** The files beside the schemas, by name: what is published for firmware authors. */
export function contractFiles(): Readonly<Record<string, string>> {
  const files = {
    'readings.schema.json': schemaOfRead(readingsPackSchema),
    'status.schema.json': schemaOfRead(statusSchema),
    'heartbeat.schema.json': schemaOfSent(heartbeatSchema),
    'place-now.schema.json': schemaOfSent(placeNowMessageSchema),
    'alarm.schema.json': schemaOfSent(alarmMessageSchema),
    'live.schema.json': schemaOfSent(liveMessageSchema),
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
function knownProbesTable(): string {
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
