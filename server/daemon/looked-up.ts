import type { LimitRule } from '../../shared/model/alarm-rules.ts';
import type { Place } from '../../shared/model/place.ts';
import type { Sample } from '../domain/alarms/limit-alarm.ts';
import { heldRule, limitAt, type Moment } from '../domain/alarms/limits.ts';
import {
  COVERED,
  dryLimitMin,
  hoursOpen,
  MIST_LOOK_MS,
  SATURATION_LOOK_MS,
  VENTS_LOOK_MS,
} from '../domain/alarms/looks.ts';
import { WHOLE_PLACE } from '../domain/alarms/signals.ts';
import { mistTold, ventsIn, ventsTold } from './details.ts';
import type { QueryContext } from './present.ts';

const MINUTE_MS = 60_000;

type LookedUp = { readonly rule: LimitRule; readonly sample: Sample };

/**
 * What only the record of the last hours can tell of a place: minutes since the last mist pulse in light, hours a
 * vent has been open, hours saturated since the last vent. Looked up every five minutes, for rules that are on.
 */
export function lookedUp(
  place: Place,
  moment: Moment & { readonly nowMs: number },
  context: QueryContext,
): LookedUp[] {
  const held = (rule: LimitRule) => heldRule(rule, { settings: place.settings, targets: moment.targets }).on;
  const known = context.world.probesOf(place.id).map(({ quantity }) => quantity);
  const hasAir = known.includes('air/humidity') && known.includes('air/temperature');
  const found: LookedUp[] = [];
  const add = (rule: LimitRule, value: number | null, limit: number | null) => {
    if (value === null) return;
    const sample = { source: WHOLE_PLACE, tMs: moment.nowMs, value, limit, slopePerMin: null };
    found.push({ rule, sample });
  };
  // a pulse can be missing only where mist is known to be: by its valve, or by its stated interval
  const hasMist = known.includes('mist/valve') || (hasAir && place.settings.mistEveryMin !== null);
  if (hasMist && held('no-mist-in-light')) {
    const { minutes, limitMin } = dryInLight(place, moment, context);
    add('no-mist-in-light', minutes, limitMin);
  }
  if (hasAir && held('vent-left-open') && mayBeVented(place, moment.nowMs, context))
    add('vent-left-open', openNow(place, moment.nowMs, context), limitAt('vent-left-open', moment));
  if (hasAir && held('saturated-too-long')) {
    const hours = hoursSaturated(place, moment.nowMs, context);
    add('saturated-too-long', hours, limitAt('saturated-too-long', moment));
  }
  return found;
}

/** Under a cover a vent is recognised; elsewhere it counts when somebody wrote it down. */
function mayBeVented(place: Place, nowMs: number, { store }: QueryContext): boolean {
  if (COVERED.includes(place.kind)) return true;
  return store.diary.vents(place.id).some(({ fromMs }) => fromMs > nowMs - VENTS_LOOK_MS && fromMs <= nowMs);
}

type Dry = { readonly minutes: number | null; readonly limitMin: number | null };

/** A pattern must be known before a pulse can be missing: from the setting, or from the record of mist. */
function dryInLight(place: Place, { nowMs, light }: Moment & { nowMs: number }, context: QueryContext): Dry {
  const { answer, summary } = mistTold(place, { fromMs: nowMs - MIST_LOOK_MS, toMs: nowMs }, context);
  if (summary.patternMs === null || !answer.reliable || summary.coveredHours === 0)
    return { minutes: null, limitMin: null };
  const limitMin = dryLimitMin({ patternMs: summary.patternMs, light });
  const gap = summary.newestDryGap;
  // a spell that ends where the record does still lasts
  const lasts = gap !== null && nowMs - gap.toMs <= place.settings.maxGapMs;
  return { minutes: lasts ? (gap.toMs - gap.fromMs) / MINUTE_MS : 0, limitMin };
}

function openNow(place: Place, nowMs: number, context: QueryContext): number | null {
  const { vents, answer } = ventsTold(place, { fromMs: nowMs - VENTS_LOOK_MS, toMs: nowMs }, context);
  const last = vents.findLast(({ how }) => how === 'logged' || COVERED.includes(place.kind)) ?? null;
  return hoursOpen(last, { nowMs, reliable: answer.reliable });
}

function hoursSaturated(place: Place, nowMs: number, context: QueryContext): number | null {
  const span = { fromMs: nowMs - SATURATION_LOOK_MS, toMs: nowMs };
  return ventsIn(place, span, context).hoursSaturatedSinceVent;
}
