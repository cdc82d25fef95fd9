import { findingsOf } from '../../../server/domain/probes/findings.ts';
import type { Finding, FindingKind } from '../../../shared/model/probes/finding.ts';
import { DAY_MS, HOUR_MS } from '../../unit/server/domain/demo/record.ts';
import { type Faulty, injected, swappedAt, wetAt } from './inject.ts';
import { type Scene, scopeOf } from './records.ts';

const BACK_MS = 3 * DAY_MS;

export type Detection = { readonly finding: FindingKind; readonly put: number; readonly found: number };
export type FalseAlarms = {
  readonly scene: string;
  readonly probeWeeks: number;
  /** different ones: a probe and a kind counts once a day */
  readonly findings: readonly string[];
};

/** Faults put into scenes of one name: at most so many of a kind a scene, and how many were found. */
export function detections(scenes: readonly Scene[], times: number): Detection[] {
  const put = scenes.flatMap((scene) => [
    ...injected(scene, times),
    ...Array.from({ length: times }, (_, day) => [swappedAt(scene, day + 1), wetAt(scene, day)]).flat(),
  ]);
  const groups = Map.groupBy(
    put.filter((faulty) => faulty !== null),
    ({ finding }) => finding,
  );
  return [...groups].map(([finding, some]) => ({
    finding,
    put: some.length,
    found: some.filter(isFound).length,
  }));
}

/** Whether the look an hour after a fault ended names it: the right finding, at its probe, at its time. */
export function isFound(faulty: Faulty): boolean {
  const toMs = Math.min(faulty.scene.toMs, faulty.toMs + HOUR_MS);
  const found = findingsOf(scopeOf(faulty.scene, { fromMs: toMs - BACK_MS, toMs }));
  return found.some(
    (one) =>
      one.finding === faulty.finding &&
      faulty.probes.includes(one.probe) &&
      one.sinceMs <= faulty.toMs &&
      (one.untilMs ?? Number.POSITIVE_INFINITY) >= faulty.fromMs,
  );
}

/** What looks every twelve hours say against the probes of a scene in which none is at fault. */
export function falseAlarms(scene: Scene): FalseAlarms {
  const alarmed = new Set<string>();
  for (let toMs = scene.fromMs + DAY_MS; toMs <= scene.toMs; toMs += 12 * HOUR_MS) {
    for (const one of findingsOf(scopeOf(scene, { fromMs: toMs - BACK_MS, toMs }))) alarmed.add(keyOf(one));
  }
  const weeks = (scene.toMs - scene.fromMs) / (7 * DAY_MS);
  return { scene: scene.name, probeWeeks: weeks * scene.tracks.length, findings: [...alarmed] };
}

function keyOf({ probe, finding, sinceMs }: Finding): string {
  return `${new Date(sinceMs).toISOString().slice(0, 10)} ${probe} ${finding}`;
}
