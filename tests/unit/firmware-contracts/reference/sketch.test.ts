import { spawnSync } from 'node:child_process';
import { fileURLToPath } from 'node:url';
import { expect, test } from 'vitest';
import { decodePack } from '../../../../server/domain/ingest/decode.ts';
import { plainEnvironment, toolPath } from '../../../support/environment.ts';
import { EXAMPLE_ARRIVED_AT_MS, EXAMPLE_TOPIC } from '../examples.ts';

const folder = fileURLToPath(new URL('../../../../firmware-contracts/reference/node/', import.meta.url));

const STORY = `
import node
kept = [node.sample(1772611200 + 30 * k, 85.0 if k == 0 else 23.4, 21.5, None if k == 1 else 92.5, 5400) for k in range(45)]
answers = [True, False]
sent = []
def publish(payload):
    acknowledged = answers.pop(0) if answers else True
    if acknowledged: sent.append(payload)
    return acknowledged
node.send_kept(kept, publish)
left = len(kept)
node.send_kept(kept, publish)
print(left, len(kept))
for payload in sent: print(payload)
`;

test('the Python node leaves out 85.0 °C and a failed chip, keeps 25 of 45 samples without a PUBACK, and then sends 178 readings', () => {
  const ran = spawnSync(toolPath('python'), ['-B', '-c', STORY], {
    cwd: folder,
    encoding: 'utf8',
    env: plainEnvironment(),
  });
  expect(ran.stderr).toBe('');
  const [counts, ...payloads] = ran.stdout.trimEnd().split('\n');
  expect(counts).toBe('25 0');
  const readings = payloads.flatMap((text) => {
    const payload = new TextEncoder().encode(text);
    const arrival = { arrivedAtMs: EXAMPLE_ARRIVED_AT_MS + 3_600_000, retainedCopy: false };
    const decoded = decodePack({ topic: EXAMPLE_TOPIC, payload, ...arrival });
    return decoded.ok ? [...decoded.readings] : [];
  });
  // 45 samples of 4, less the root probe's power-up value and one humidity.
  expect(readings).toHaveLength(45 * 4 - 2);
  expect(readings[0]).toMatchObject({ probe: 'air/temperature', value: 21.5, tMs: Date.UTC(2026, 2, 4, 8) });
});
