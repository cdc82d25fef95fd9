import { type Blind, placeState, type Urgency } from '../../../../shared/harm/place-state.ts';
import { stakeOf } from '../../../../shared/harm/priority.ts';
import { type HarmLimit, rateAt } from '../../../../shared/harm/rate.ts';
import { HARM_KINDS, type Harm, type HarmKind, totalHarm } from '../../../../shared/harm/scale.ts';
import { RESPOND_WITHIN_MIN } from '../../../../shared/rules/harm.ts';
import { type AlarmRule, RULES } from '../../../../shared/rules/rules.ts';

/** The bench of the stories: air to 26.7 °C, root zone 21 to 30 °C, air by night from 13, by day from 18; VPD to 0.5 kPa. */
export const LIMITS: Readonly<Record<HarmKind, HarmLimit>> = {
  'air-over-ceiling': { kind: 'air-over-ceiling', limit: 26.7 },
  'root-zone-over-ceiling': { kind: 'root-zone-over-ceiling', limit: 30 },
  'air-far-too-cold': { kind: 'air-far-too-cold', limit: 10 },
  'vpd-above-band': { kind: 'vpd-above-band', limit: 0.5 },
  'root-zone-below-band': { kind: 'root-zone-below-band', limit: 21 },
  'air-below-band': { kind: 'air-below-band', limit: 18, farTooColdC: 10 },
};

export type Story = {
  readonly what: string;
  /** values that held for so many hours of the last 24 */
  readonly past?: Partial<Record<HarmKind, readonly [value: number, hours: number]>>;
  readonly now?: Partial<Record<HarmKind, number>>;
  readonly active?: readonly AlarmRule[];
  readonly whole?: boolean;
  readonly answered?: boolean;
  readonly blindTo?: readonly Blind[];
  readonly wasBlind?: boolean;
  readonly outOfBand?: boolean;
  readonly hoursToDay?: number;
  readonly state: 'act' | 'watch' | 'ok';
  readonly wake: boolean;
  readonly why: string;
};

/** What the code says of a story. */
export function outcomeOf(story: Story): Urgency & { readonly wake: boolean } {
  const {
    past = {},
    now = {},
    active = [],
    blindTo = [],
    wasBlind = false,
    outOfBand = false,
    hoursToDay = 0,
  } = story;
  const harmOf = (kind: HarmKind) => {
    const [value, hours] = past[kind] ?? [0, 0];
    return hours === 0 ? 0 : rateAt(LIMITS[kind], value) * hours;
  };
  const harm = Object.fromEntries(HARM_KINDS.map((kind) => [kind, harmOf(kind)])) as Harm;
  const rates = Object.entries(now) as [HarmKind, number][];
  const ratePerHour = Object.fromEntries(rates.map(([kind, value]) => [kind, rateAt(LIMITS[kind], value)]));
  const state = placeState({
    harm,
    ratePerHour,
    respondWithinMin: RESPOND_WITHIN_MIN,
    active: active.map((rule) => ({ asksAtOnce: RULES[rule].asksAtOnce === true || story.whole === true })),
    blindTo,
    remembered: totalHarm(harm),
    wasBlind,
    outOfBand,
  });
  const stakes = (Object.keys(now) as HarmKind[]).some(
    (kind) => stakeOf({ kind, harm: harm[kind], ratePerHour: ratePerHour[kind] ?? 0, hoursToDay }) !== null,
  );
  const byRule = active.some((rule) => RULES[rule].priority === 'high');
  return { ...state, unanswered: story.answered !== true, wake: active.length > 0 && (stakes || byRule) };
}
