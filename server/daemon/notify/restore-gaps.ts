import { INSTALLATION_WEBHOOK_ID } from '../../../shared/model/people/people.ts';
import type { RestoreGapView } from '../../../shared/wire/people.ts';
import { CONTACT_METHOD_WORDS, GAP_WORDS } from '../../../shared/words/people.ts';
import type { AlarmStep } from '../../domain/alarms/record.ts';
import type { RestoreGap, Store } from '../../ports.ts';
import type { World } from '../world/world.ts';
import { installationStep, type Trouble } from './installation-alarm.ts';

type GapContext = {
  readonly store: Pick<Store, 'restoreGaps' | 'people'>;
  readonly world: World;
  readonly nowMs: number;
};

/** The alarm of what a restore could not bring, as it is now; null when nothing about it changed. */
export function restoreStep({ store, world, nowMs }: GapContext): AlarmStep | null {
  const gaps = store.restoreGaps.all();
  const before = world.alarm({ placeId: null, rule: 'restore-incomplete' });
  if (gaps.length === 0 && before.state === 'normal') return null;
  const troubles = gaps.flatMap((gap) => troubleOf(gap, store));
  return installationStep(world, { rule: 'restore-incomplete', troubles, nowMs });
}

function troubleOf({ wayId, why, sinceMs }: RestoreGap, { people }: Pick<Store, 'people'>): Trouble[] {
  const detail = GAP_WORDS[why];
  if (wayId === INSTALLATION_WEBHOOK_ID)
    return [{ what: 'the webhook of this installation', sinceMs, detail }];
  return people.roster().people.flatMap(({ name, ways: methods }) => {
    const method = methods.find(({ id }) => id === wayId);
    return method ? [{ what: `${CONTACT_METHOD_WORDS[method.kind]} to ${name}`, sinceMs, detail }] : [];
  });
}

/** What the page shows beside each contact method. */
export function gapViews({ restoreGaps }: Pick<Store, 'restoreGaps'>): RestoreGapView[] {
  return restoreGaps
    .all()
    .map(({ wayId, why, sinceMs }) => ({ wayId, why, since: new Date(sinceMs).toISOString() }));
}
