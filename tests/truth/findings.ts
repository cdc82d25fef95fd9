import { cleanScenes } from './findings/records.ts';
import { detections, falseAlarms } from './findings/score.ts';
import { clockScore, driftScore } from './findings/weeks.ts';

const write = (line: string) => process.stdout.write(`${line}\n`);
const TIMES = 6;
const scenes = cleanScenes();

for (const [name, some] of Map.groupBy(scenes, (scene) => scene.name.replace(/, seed.*/, ''))) {
  write(`\n${name}: faults put in, and found at the look an hour after`);
  for (const { finding, put, found } of detections(some, TIMES))
    write(`  ${finding.padEnd(16)} ${String(found).padStart(3)} of ${put}`);
}
write(
  '\nNot judged, and so not found: leaps of an air read more seldom than every 3 min; sun where the light probe sees',
);
write('less than half an hour of it; coarse chips that stand still for less than a day.');
write('\nFalse alarms where no probe is at fault');
let [weeks, alarms] = [0, 0];
for (const { scene, probeWeeks, findings } of scenes.map(falseAlarms)) {
  weeks += probeWeeks;
  alarms += findings.length;
  write(`  ${scene.padEnd(24)} ${findings.length} in ${probeWeeks.toFixed(1)} probe-weeks`);
  for (const finding of findings) write(`    ${finding}`);
}
write(`  all: ${(alarms / weeks).toFixed(3)} a probe-week`);

const drift = driftScore();
write('\nTwo probes side by side over four weeks');
write(
  `  drift            ${drift.found} of ${drift.put}; ${drift.falseAlarms} false in ${drift.soundProbeWeeks} probe-weeks`,
);
const clock = clockScore();
write(
  `  clock-adrift     ${clock.found} of ${clock.put}; ${clock.falseAlarms} false in ${clock.put} devices`,
);
